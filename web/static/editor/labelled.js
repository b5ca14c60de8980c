/** Controls with their names, for forms whose values the plan does not have yet. */

import { make, show, write } from "/static/dom.js";
import { alerting, listFindings } from "/static/editor/findings.js";

let count = 0;

/** A value that is asked for. `label`; `hint` below it; `unit` beside it; `options` [[value, words]] make
 * it a choice; `value` at first; `type` and `keyboard` of the input; `key` in the plan; `isNeeded`: not for nothing. */
export class Asked {
  constructor({ label, hint = "", options = null, value = "", unit, type = "text", keyboard = "text", key = null, isNeeded = false }) {
    Object.assign(this, { key, isNeeded });
    this.control = make(options ? "select" : "input");
    this.control.id = `new-${++count}`;
    this.control.dataset.order = "";
    if (options) setOptions(this.control, options);
    else Object.assign(this.control, { type, inputMode: keyboard, autocomplete: "off", spellcheck: false, autocapitalize: "none" });
    if (!options || value !== "") this.control.value = value;
    const name = make("label", "", label);
    name.htmlFor = this.control.id;
    const note = make("p", "hint", hint);
    note.id = `${this.control.id}-hint`;
    const { element: refused, list } = alerting();
    this.refused = list;
    refused.id = `${this.control.id}-refused`;
    this.control.setAttribute("aria-describedby", `${note.id} ${refused.id}`);
    show(note, hint !== "");
    const row = make("div", "field-row", this.control);
    this.unit = make("span", "unit", unit ?? "");
    if (unit !== undefined) {
      this.control.classList.add("has-unit");
      row.append(this.unit);
    }
    this.element = make("div", "field", name, row, note, refused);
  }

  /** What stands in it; nothing where it is not asked. */
  get value() {
    return this.element.hidden ? "" : this.control.value.trim();
  }

  get isEmpty() {
    return this.value === "";
  }

  /** Says in what it is typed, where that can change. */
  setUnit(text) {
    write(this.unit, text);
  }

  /** Says beside it what is wrong with it: findings, none of which takes that back. */
  refuse(findings) {
    listFindings(this.refused, findings);
    this.control.setAttribute("aria-invalid", String(findings.length > 0));
  }

  /** Nothing is typed, and the first of the options chosen. */
  clear() {
    if (this.control.tagName === "SELECT") this.control.selectedIndex = 0;
    else this.control.value = "";
  }

  focus() {
    this.control.focus();
  }
}

/** Gives a choice its options, and keeps what is chosen where that is still one of them. */
export function setOptions(control, options) {
  const key = JSON.stringify(options);
  if (control.optionsKey === key) return;
  control.optionsKey = key;
  const { value } = control;
  control.replaceChildren(...options.map(([own, words]) => {
    const option = make("option", "", words);
    option.value = own;
    return option;
  }));
  if (options.some(([own]) => own === value)) control.value = value;
}
