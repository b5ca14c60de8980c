/** Parts of a form: a control with its name, a hint and what is wrong with it. */

import { make, show, write } from "/static/dom.js";

let count = 0;
const newId = () => `field-${(count += 1)}`;

/** A control below its name; `tell(text)` shows what is wrong with it, "" that nothing is. */
export class Field {
  constructor(name, control, hint = "") {
    control.id ||= newId();
    const label = make("label", "field-name", name);
    label.htmlFor = control.id;
    this.control = control;
    this.hint = make("p", "hint", hint);
    this.problem = make("p", "problem");
    this.hint.id = newId();
    this.problem.id = newId();
    control.setAttribute("aria-describedby", `${this.problem.id} ${this.hint.id}`);
    show(this.hint, hint !== "");
    this.element = make("div", "field", label, control, this.problem, this.hint);
  }

  tell(text) {
    write(this.problem, text);
    if (text) this.control.setAttribute("aria-invalid", "true");
    else this.control.removeAttribute("aria-invalid");
  }

  tellHint(text) {
    write(this.hint, text);
    show(this.hint, text !== "");
  }
}

/** An input of a type; `hear(value)` after each change. */
export function input(type, hear, attributes = {}) {
  const control = make("input");
  Object.assign(control, { type, ...attributes });
  control.addEventListener("input", () => hear(control.value));
  return control;
}

/** A select of [value, text, isDisabled] choices. */
export function select(choices, hear) {
  const control = make("select");
  fill(control, choices);
  control.addEventListener("change", () => hear(control.value));
  return control;
}

/** Gives a select its choices anew; what was chosen stays if it is among them. */
export function fill(control, choices) {
  const key = JSON.stringify(choices);
  if (control.dataset.choices === key) return;
  control.dataset.choices = key;
  const { value } = control;
  control.replaceChildren(
    ...choices.map(([choice, text, isDisabled = false]) => {
      const option = make("option", "", text);
      option.value = choice;
      option.disabled = isDisabled;
      return option;
    }),
  );
  if (choices.some(([choice]) => choice === value)) control.value = value;
}

/** A few ways side by side, of which one is chosen: radio buttons as large as a thumb. */
export class Ways {
  constructor(name, ways, hear) {
    const group = newId();
    this.inputs = new Map();
    this.element = make("fieldset", "ways", make("legend", "field-name", name));
    const row = make("div", "ways-row");
    for (const [value, text] of ways) {
      const radio = input("radio", () => hear(value), { name: group, value });
      this.inputs.set(value, radio);
      row.append(make("label", "way", radio, make("span", "", text)));
    }
    this.element.append(row);
  }

  set(value) {
    const radio = this.inputs.get(value);
    if (radio) radio.checked = true;
    else for (const one of this.inputs.values()) one.checked = false;
  }
}

/** A file to be chosen; `hear(file)` with what the browser hands over. A file that was chosen is
 * named beside the button, since a browser forgets it on reload. */
export class FilePick {
  constructor(name, accept, hear) {
    const control = input("file", () => {}, { accept, className: "unseen" });
    control.addEventListener("change", () => {
      const [file] = control.files;
      control.value = ""; // the same file, mended, can be chosen again
      if (file) hear(file);
    });
    control.id = newId();
    const label = make("label", "file-button", name);
    label.htmlFor = control.id;
    this.chosen = make("span", "file-chosen");
    this.problem = make("p", "problem");
    this.problem.id = newId();
    control.setAttribute("aria-describedby", this.problem.id);
    this.element = make("div", "file-pick", control, label, this.chosen, this.problem);
  }

  /** Names what is chosen. */
  name(text) {
    write(this.chosen, text);
  }

  tell(text) {
    write(this.problem, text);
  }
}
