/** A length with a big button on either side: tapped once for one step, held to run. */

import { make, write } from "/static/dom.js";
import { lengthOf } from "/static/editor/lengths.js";
import { lengthWhole } from "/static/words/editor.js";
import { WORDS } from "/static/words/piece.js";

const HELD_AFTER_MS = 450;
const RUNS_EACH_MS = 110;

function pressed(text, act) {
  const button = make("button", "step-button", text);
  button.type = "button";
  button.dataset.order = "";
  let timer = null;
  let hasRun = false;
  let pointer = null;
  const end = () => {
    clearTimeout(timer);
    timer = null;
  };
  const run = () => {
    // What it changes may move it from under the finger: from now on only lifting that ends it.
    if (!hasRun) button.setPointerCapture(pointer);
    hasRun = true;
    if (button.disabled) return;
    act();
    timer = setTimeout(run, RUNS_EACH_MS);
  };
  button.addEventListener("pointerdown", (event) => {
    hasRun = false;
    pointer = event.pointerId;
    if (event.button === 0) timer = setTimeout(run, HELD_AFTER_MS);
  });
  for (const kind of ["pointerup", "pointerleave", "pointercancel", "blur"]) button.addEventListener(kind, end);
  button.addEventListener("contextmenu", (event) => event.preventDefault()); // a long press means run
  button.addEventListener("click", () => {
    if (!hasRun) act();
    hasRun = false;
  });
  return button;
}

/** What somebody types as a length: `10`, `10 min`, `90 s`, `1h30m`; bare numbers are minutes. */
export function typedLength(text) {
  const plain = text.trim().toLowerCase().replace(",", ".");
  if (/^\d+(\.\d+)?$/.test(plain)) return Math.round(Number(plain) * 60_000) / 1000;
  const short = plain.replace(/\s*(hours?|hrs?|h)\b/g, "h").replace(/\s*(minutes?|mins?|m)\b/g, "m")
    .replace(/\s*(seconds?|secs?|s)\b/g, "s");
  return lengthOf(short);
}

/** `step(direction)` is told of the buttons (-1, 1) and of arrow keys, `typed(text)` of what was
 * typed; `show(text)` writes what stands between. */
export class Stepper {
  constructor({ name, less, more, step, typed }) {
    this.name = make("span", "step-name");
    this.input = make("input", "step-value");
    this.input.type = "text";
    this.input.inputMode = "text";
    this.input.autocomplete = "off";
    this.input.dataset.order = "";
    this.less = pressed("−", () => step(-1));
    this.more = pressed("+", () => step(1));
    this.element = make("div", "stepper", this.name, this.less, this.input, this.more);
    this.called(name, less, more);
    this.input.addEventListener("focus", () => this.input.select());
    this.input.addEventListener("change", () => {
      this.shown = this.input.value;
      typed(this.input.value);
    });
    this.input.addEventListener("keydown", (event) => {
      if (event.key === "ArrowUp" || event.key === "ArrowDown") {
        event.preventDefault();
        step(event.key === "ArrowUp" ? 1 : -1);
      }
    });
  }

  called(name, less = WORDS.less(name), more = WORDS.more(name)) {
    write(this.name, name);
    this.input.setAttribute("aria-label", name);
    this.less.setAttribute("aria-label", less);
    this.more.setAttribute("aria-label", more);
  }

  /** Writes a length in seconds. */
  draw(seconds) {
    this.write(lengthWhole(seconds));
  }

  write(words) {
    const text = words.replaceAll("\u00a0", " "); // for whoever types over it
    if (document.activeElement !== this.input || this.shown === this.input.value) this.input.value = text;
    this.shown = text;
  }
}
