/** One value of the plan with its name, its control and what is wrong with it. */

import { make, show, write } from "/static/dom.js";
import { alerting, listFindings, refusalLines } from "/static/editor/findings.js";
import { Wish } from "/static/editor/wish.js";

let count = 0;

function controlOf({ options, unit, type, keyboard }) {
  if (options) return make("select");
  const input = make("input");
  input.type = type ?? "text";
  if (keyboard) input.inputMode = keyboard;
  input.autocomplete = "off";
  input.spellcheck = false;
  input.autocapitalize = "none";
  if (unit !== undefined) input.className = "has-unit";
  return input;
}

/** `label`; `hint` below it; `unit` beside it; `options` [[value, words]] make it a choice; `type` and
 * `keyboard` of the input; `edits(text, at)`: what to ask of the plan; `words(text)`: what that was,
 * for undo; `shown(text)` is told what is shown, be it the plan's or wished for; `besides()`: the fields
 * of the same table: what of them was refused is tried once more together with this one. */
export class Field {
  constructor(desk, given) {
    this.desk = desk;
    this.given = given;
    this.own = "";
    this.wish = new Wish(desk.draft, () => this.show());
    this.control = controlOf(given);
    this.control.dataset.order = "";
    this.control.id = `field-${++count}`;
    const label = make("label", "", given.label);
    label.htmlFor = this.control.id;
    this.hint = make("p", "hint", given.hint ?? "");
    this.hint.id = `${this.control.id}-hint`;
    const { element: refused, list } = alerting();
    this.refused = list;
    refused.id = `${this.control.id}-refused`;
    this.home = desk.places.home();
    this.home.id = `${this.control.id}-found`;
    this.control.setAttribute("aria-describedby", `${this.hint.id} ${refused.id} ${this.home.id}`);
    this.unit = make("span", "unit", given.unit ?? "");
    const row = make("div", "field-row", this.control);
    if (given.unit !== undefined) row.append(this.unit);
    this.element = make("div", "field", label, row, this.hint, refused, this.home);
    show(this.hint, Boolean(given.hint));
    if (given.options) this.setOptions(given.options);
    this.control.addEventListener("change", () => this.commit(this.control.value));
    this.control.addEventListener("keydown", (event) => this.key(event));
  }

  setOptions(options) {
    const key = JSON.stringify(options);
    if (this.optionsKey === key) return;
    this.optionsKey = key;
    this.control.replaceChildren(...options.map(([value, words]) => {
      const option = make("option", "", words);
      option.value = value;
      return option;
    }));
    this.control.value = this.wish.shown(this.own);
  }

  /** Shows what the plan has at a place: text, or "" where it has nothing. */
  draw(at, own) {
    if (this.at !== at) this.wish.forget();
    this.at = at;
    this.own = own;
    this.home.dataset.at = at;
    this.show();
  }

  show() {
    const value = this.wish.shown(this.own);
    const isTyping = document.activeElement === this.control && !this.given.options
      && this.control.value !== this.shown;
    if (!isTyping && this.control.value !== value) this.control.value = value;
    if (!isTyping) this.shown = value;
    this.given.shown?.(value);
    listFindings(this.refused, refusalLines(this.wish.refusal));
    this.control.setAttribute("aria-invalid", String(this.wish.refusal !== null));
  }

  commit(text) {
    this.shown = text;
    if (text === this.own) {
      this.wish.forget();
      this.show();
      return;
    }
    const { edits, words } = this.given;
    const others = () => (this.given.besides?.() ?? []).map(({ wish }) => wish).filter((wish) => wish.refusal !== null);
    this.wish.make(text, { own: this.own, edits: edits(text, this.at), words: words(text), others });
  }

  /** Its value, be it the plan's or wished for. */
  get value() {
    return this.wish.shown(this.own);
  }

  get isSaid() {
    return this.value !== "";
  }

  /** Says in what it is typed, where that can change. */
  setUnit(text) {
    write(this.unit, text);
  }

  /** Escape takes back what was typed. */
  key(event) {
    if (event.key === "Escape" && this.control.value !== this.own) {
      event.stopPropagation();
      this.wish.forget();
      this.shown = this.control.value;
      this.control.value = this.own;
      this.show();
    }
  }

  setHint(text) {
    write(this.hint, text);
    show(this.hint, text !== "");
  }
}
