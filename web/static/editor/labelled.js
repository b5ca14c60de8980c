/** Controls with their names, for forms whose values the plan does not have yet. */

import { make, show } from "/static/dom.js";

let count = 0;

/** {element, control}: an input or, with `options` [[value, words]], a choice. */
export function labelled({ label, hint = "", options = null, value = "", unit = "" }) {
  const control = make(options ? "select" : "input");
  control.id = `new-${++count}`;
  control.dataset.order = "";
  if (options) setOptions(control, options);
  else Object.assign(control, { type: "text", autocomplete: "off", spellcheck: false, autocapitalize: "none" });
  if (!options || value !== "") control.value = value;
  const name = make("label", "", label);
  name.htmlFor = control.id;
  const note = make("p", "hint", hint);
  note.id = `${control.id}-hint`;
  control.setAttribute("aria-describedby", note.id);
  show(note, hint !== "");
  const row = make("div", "field-row", control);
  if (unit) {
    control.classList.add("has-unit");
    row.append(make("span", "unit", unit));
  }
  return { element: make("div", "field", name, row, note), control };
}

/** Gives a choice its options, and keeps what is chosen where that is still one of them. */
export function setOptions(control, options) {
  const { value } = control;
  control.replaceChildren(...options.map(([own, words]) => {
    const option = make("option", "", words);
    option.value = own;
    return option;
  }));
  if (options.some(([own]) => own === value)) control.value = value;
}
