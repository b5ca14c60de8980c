/** Fields for the keys of a table of the plan, made from the plan's schema. */

import { make, show } from "/static/dom.js";
import { FORBIDS, GIVES_WAY, INSTEAD, NEEDS } from "/static/editor/beside.js";
import { Field } from "/static/editor/field.js";
import { isName, namesFor } from "/static/editor/named.js";
import { isRequired, keyboardFor, keysOf, rangeOf, schemaOf, valueOf } from "/static/editor/schema.js";
import { KEYS, WORDS } from "/static/words/settings.js";

const inside = (part, path) => path.split(".").reduce((table, key) => table?.[key], part);

/** What of a key's words and schema a field shows: its label, unit and keyboard, and a hint that ends with
 * what is allowed; `standard` is what the plan's reader takes where there is nothing, unless the words tell that better. */
export function toldOf(desk, table, key, standard = undefined) {
  const told = schemaOf(desk.draft.schema, table, key);
  const words = KEYS[table]?.[key] ?? {};
  const hint = WORDS.hint(words.hint ?? told.description ?? "", rangeOf(told), words.empty ?? standard);
  return { label: words.label ?? key, unit: words.unit, hint, keyboard: keyboardFor(told) };
}

/** The choices that there are for a key, or null where it is typed; `none` stands for no choice, or is null. */
export function choicesOf(desk, table, key, none) {
  const told = schemaOf(desk.draft.schema, table, key);
  const last = key.split(".").pop();
  const named = (values) => [...(none === null ? [] : [["", none]]), ...values.map((value) => [String(value), WORDS.value(last, value)])];
  if (told.enum) return named(told.enum);
  if (told.type === "boolean") return named([true, false]);
  return isName(last) ? named(namesFor(desk.draft.document, last)) : null;
}

function optionsOf(desk, table, key) {
  const told = schemaOf(desk.draft.schema, table, key);
  const none = told.default === undefined ? WORDS.notSet : WORDS.notSetBut(WORDS.value(key.split(".").pop(), told.default));
  return choicesOf(desk, table, key, isRequired(desk.draft.schema, table, key) ? null : none);
}

/** `table`: the schema's name of it; `groups`: [[title, keys]] in the order in which they are shown, the
 * first `openCount` of them open; a title of "" stands for none. Keys that the schema has besides,
 * and that `besides` does not name, come last. */
export class Fields {
  constructor(desk, { table, groups, besides = [], called = "", openCount = 0 }) {
    Object.assign(this, { desk, table, called });
    const named = new Set([...groups.flatMap(([, keys]) => keys.map((key) => key.split(".")[0])), ...besides]);
    const rest = keysOf(desk.draft.schema, table).filter((key) => !named.has(key));
    this.fields = new Map();
    this.groups = new Map();
    this.element = make("div", "drawers");
    for (const [title, keys] of rest.length ? [...groups, [WORDS.more, rest]] : groups) {
      const group = make("div", "group", ...keys.map((key) => this.fieldOf(key).element));
      this.element.append(title ? this.drawerOf(title, group, this.groups.size < openCount) : group);
      this.groups.set(title, group);
    }
  }

  drawerOf(title, group, isOpen) {
    const drawer = make("details", "drawer", make("summary", "", title), group);
    drawer.open = isOpen;
    drawer.addEventListener("toggle", this.desk.settle);
    return drawer;
  }

  fieldOf(key) {
    const told = schemaOf(this.desk.draft.schema, this.table, key);
    const about = toldOf(this.desk, this.table, key, told.enum ? undefined : told.default);
    const field = new Field(this.desk, {
      ...about, options: optionsOf(this.desk, this.table, key),
      edits: (text, at) => this.editsOf(key, told, text, at),
      words: (text) => WORDS.toldSet(this.called, about.label, text),
      shown: () => this.fields.has(key) && this.settle(),
      besides: () => [...this.fields.values()].filter((one) => one !== field),
    });
    this.fields.set(key, field);
    return field;
  }

  /** What to ask of the plan: that the key has a value, and that what cannot stand beside that goes. */
  editsOf(key, told, text, at) {
    if (text === "") return [{ do: "remove", at }];
    const home = at.slice(0, -key.length - 1);
    const gone = (GIVES_WAY[this.table]?.[key]?.(text) ?? []).filter((other) => inside(this.part, other) !== undefined);
    return [...gone.map((other) => ({ do: "remove", at: `${home}.${other}` })), { do: "set", at, value: valueOf(told, text) }];
  }

  /** Shows a table as the plan has it at a place. */
  draw(at, part) {
    this.part = part;
    for (const [key, field] of this.fields) {
      const options = optionsOf(this.desk, this.table, key);
      const value = inside(part, key);
      if (options) {
        // What the plan says is shown, even where it is none of what may be chosen.
        if (value !== undefined && !options.some(([own]) => own === String(value))) options.push([String(value), String(value)]);
        field.setOptions(options);
      }
      field.draw(`${at}.${key}`, value === undefined ? "" : String(value));
    }
    this.settle();
  }

  /** Shows each field that means something beside what the others say, or that says something itself, be
   * it that it was refused. */
  settle() {
    const isSaid = (key) => (this.fields.has(key) ? this.fields.get(key).isSaid : inside(this.part, key) !== undefined);
    const forbids = Object.entries(FORBIDS[this.table] ?? {});
    const forbidden = new Set(forbids.flatMap(([key, gone]) => gone(this.fields.get(key)?.value)));
    for (const [key, field] of this.fields) {
      const need = NEEDS[this.table]?.[key];
      const instead = INSTEAD[this.table]?.[key];
      const isMeant = (need === undefined || isSaid(need)) && (instead === undefined || !isSaid(instead)) && !forbidden.has(key);
      show(field.element, isMeant || field.isSaid || field.wish.refusal !== null);
    }
  }
}
