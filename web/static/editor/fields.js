/** Fields for the keys of a table of the plan, made from the plan's schema. */

import { make, show } from "/static/dom.js";
import { Field, numberOr } from "/static/editor/field.js";
import { KEYS, NEEDS, WORDS } from "/static/words/settings.js";

/** What names something else of the plan: in which list, and which of it will do. */
const measuring = (quantity) => ({ list: "sensors", fits: ({ measures }) => measures === quantity });
const NAMES = {
  sensor: { list: "sensors", fits: () => true },
  level: measuring("level"), flow: measuring("flow"), leak: measuring("leak"), stop_switch: measuring("stop"),
  air: measuring("air_temperature"), humidity: measuring("humidity"),
  watered_by: { list: "loads", fits: ({ kind }) => kind === "pump" || kind === "valve" },
  lamp: { list: "loads", fits: ({ kind }) => kind === "lamp" },
  reservoir: { list: "reservoirs", fits: () => true },
};
const NUMBERS = new Set(["number", "integer"]);

const inside = (part, path) => path.split(".").reduce((table, key) => table?.[key], part);

/** A part of the schema, with what it refers to put in its place. */
function schemaOf(schema, name, path = "") {
  const found = schema?.$defs?.[name] ?? {};
  if (!path) return found;
  const [key, ...rest] = path.split(".");
  const told = found.properties?.[key] ?? {};
  if (!told.$ref) return told;
  const target = told.$ref.split("/").pop();
  return rest.length ? schemaOf(schema, target, rest.join(".")) : schemaOf(schema, target);
}

/** The keys of a table that the schema knows. */
const keysOf = (schema, name) => Object.keys(schemaOf(schema, name).properties ?? {});

function optionsOf(desk, key, told, isRequired) {
  const last = key.split(".").pop();
  const none = [["", told.default === undefined ? WORDS.notSet : WORDS.notSetBut(WORDS.value(last, told.default))]];
  const named = (values) => [...(isRequired ? [] : none), ...values.map((value) => [String(value), WORDS.value(last, value)])];
  if (told.enum) return named(told.enum);
  if (told.type === "boolean") return named([true, false]);
  if (last in NAMES) return [...(isRequired ? [] : none), ...namesFor(desk, NAMES[last]).map((name) => [name, name])];
  return null;
}

function namesFor(desk, { list, fits }) {
  return Object.entries(desk.draft.document?.[list] ?? {}).filter(([, one]) => fits(Object(one))).map(([name]) => name);
}

function valueOf(told, text) {
  if (told.type === "boolean") return text === "true";
  return NUMBERS.has(told.type) ? numberOr(text) : text;
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
    const { draft } = this.desk;
    const told = schemaOf(draft.schema, this.table, key);
    const words = KEYS[this.table]?.[key] ?? {};
    const label = words.label ?? key;
    const isRequired = schemaOf(draft.schema, this.table).required?.includes(key) ?? false;
    const field = new Field(this.desk, {
      label, unit: words.unit, options: optionsOf(this.desk, key, told, isRequired),
      hint: WORDS.hint(words.hint ?? told.description ?? "", told.enum ? undefined : told.default),
      edits: (text, at) => [text === "" ? { do: "remove", at } : { do: "set", at, value: valueOf(told, text) }],
      words: (text) => WORDS.toldSet(this.called, label, text),
    });
    this.fields.set(key, { field, told, isRequired });
    return field;
  }

  /** Shows a table as the plan has it at a place. */
  draw(at, part) {
    for (const [key, { field, told, isRequired }] of this.fields) {
      const options = optionsOf(this.desk, key, told, isRequired);
      const value = inside(part, key);
      if (options) {
        // What the plan says is shown, even where it is none of what may be chosen.
        if (value !== undefined && !options.some(([own]) => own === String(value))) options.push([String(value), String(value)]);
        field.setOptions(options);
      }
      const need = NEEDS[this.table]?.[key];
      show(field.element, need === undefined || value !== undefined || inside(part, need) !== undefined);
      field.draw(`${at}.${key}`, value === undefined ? "" : String(value));
    }
  }
}
