/** A form that asks the least there is to ask, and adds to the plan what comes of it. */

import { button, make } from "/static/dom.js";
import { announce } from "/static/frame/orders.js";
import { alerting, listFindings, refusalLines } from "/static/editor/findings.js";
import { Asked } from "/static/editor/labelled.js";
import { WORDS } from "/static/words/settings.js";

// What the plan's reader says of a key that is missing is of use to who writes the file.
const MISSING = { level: "error", message: WORDS.missing, mend: "" };

/** `asked`: {name: what `Asked` takes, or a control like it}; `home(values)`: the place of the plan that
 * comes of it, "" where there is none; `edits(values)` tells what to ask of the plan; `words(values)`
 * what that was; `act`: the button's words; `added(values)` is called once it is there. */
export class AddForm {
  constructor(desk, { asked, home = () => "", edits, words, act, added = () => {} }) {
    Object.assign(this, { desk, home, edits, words, added });
    this.fields = Object.fromEntries(
      Object.entries(asked).map(([name, one]) => [name, one.element ? one : new Asked(one)]),
    );
    const { element: refused, list } = alerting();
    this.refused = list;
    this.go = button("strong", act, () => this.send());
    this.go.dataset.order = "";
    this.asked = make("div", "group", ...Object.values(this.fields).map(({ element }) => element));
    this.element = make("div", "groups", this.asked, refused, make("div", "buttons", this.go));
    this.element.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target.tagName === "INPUT") this.send();
    });
  }

  /** What stands in the form, by name; nothing for what is not asked now. */
  get values() {
    return Object.fromEntries(Object.entries(this.fields).map(([name, { value }]) => [name, value]));
  }

  /** Empties all that is typed or chosen. */
  clear() {
    for (const field of Object.values(this.fields)) field.clear();
    this.refuse([], {});
  }

  async send() {
    if (this.isSending) return;
    this.isSending = true;
    const { values } = this;
    const answer = await this.desk.draft.edit(this.edits(values), this.words(values));
    this.isSending = false;
    this.refuse(answer.isDone ? [] : refusalLines(answer), values);
    if (!answer.isDone) return;
    announce(this.words(values));
    this.added(values);
  }

  /** Says what is wrong beside what it is about, the rest below; whoever sent it is led there. */
  refuse(findings, values) {
    const own = new Map(Object.values(this.fields).map((field) => [field, []]));
    const rest = [];
    for (const finding of findings) (own.get(this.fieldOf(finding, this.home(values))) ?? rest).push(finding);
    let first = null;
    for (const [field, told] of own) {
      const isMissing = findings.length > 0 && !field.element.hidden && field.isEmpty && (field.isNeeded || told.length > 0);
      field.refuse(isMissing ? [MISSING] : told);
      if (isMissing || told.length) first ??= field;
    }
    listFindings(this.refused, rest);
    first?.focus();
  }

  /** The field that a finding is about; undefined where it is about none that shows. */
  fieldOf({ where = "", message, message_parts: parts = [] }, home) {
    if (!home) return undefined;
    const shown = Object.entries(this.fields).filter(([, { element }]) => !element.hidden);
    const about = (sign) => shown.find(([name, { key }]) => sign(`${home}.${key ?? name}`))?.[1];
    if (where.startsWith(`${home}.`)) return about((place) => where === place);
    if (where !== home && !message.startsWith(home)) return undefined;
    return about((place) => parts.some(({ at }) => at === place)) ?? this.fields.name;
  }
}
