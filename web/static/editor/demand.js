/** The fields of a piece on demand: bounds of rests and waterings, and what is done without readings. */

import { make } from "/static/dom.js";
import { Field } from "/static/editor/field.js";
import { lengthBeside, lengthOf, lengthText } from "/static/editor/lengths.js";
import { Stepper, typedLength } from "/static/editor/stepper.js";
import { WORDS } from "/static/words/piece.js";

const BOUNDS = ["shortest_rest", "longest_rest", "shortest_watering", "longest_watering"];
const OTHER_END = {
  shortest_rest: "longest_rest", longest_rest: "shortest_rest",
  shortest_watering: "longest_watering", longest_watering: "shortest_watering",
};
const FIRST_S = 900; // to step from where the plan has nothing, and the schema no standard
const setting = (value, at) => [{ do: "set", at, value }];

/** The keys that only a span on demand has. */
export const DEMAND_KEYS = ["fixed", ...BOUNDS];

export class DemandPart {
  constructor(desk, owner) {
    this.bounds = new Map(BOUNDS.map((key) => [key, new Bound(desk, owner, key)]));
    this.fixed = new Field(desk, {
      label: WORDS.fixed, hint: WORDS.fixedHint, edits: setting,
      words: (text) => WORDS.boundOf(owner.name, WORDS.fixed, text),
    });
    const steppers = make("div", "steppers", ...[...this.bounds.values()].map(({ element }) => element));
    this.element = make("div", "demand", make("p", "hint", WORDS.demandHint), steppers, this.fixed.element);
  }

  /** Shows a span as the plan has it at a place. */
  draw(at, span) {
    for (const [key, bound] of this.bounds) bound.draw(`${at}.${key}`, span);
    this.fixed.draw(`${at}.fixed`, String(span.fixed ?? ""));
  }
}

/** A length that is stepped; where the plan has none, the standard is shown. */
class Bound {
  constructor(desk, owner, key) {
    const name = WORDS.bounds[key];
    this.key = key;
    this.standard = lengthOf(desk.draft.schema?.$defs?.Span?.properties?.[key]?.default ?? "");
    this.stepper = new Stepper({
      name,
      step: (direction) => this.field.commit(lengthText(lengthBeside(this.seconds() ?? FIRST_S, direction))),
      // What is no length goes to the plan's reader, who says so.
      typed: (text) => {
        const seconds = typedLength(text);
        this.field.commit(seconds === null ? text.trim() : lengthText(seconds));
      },
    });
    this.field = new Field(desk, {
      label: name, edits: setting, words: (text) => WORDS.boundOf(owner.name, name, text), shown: () => this.show(),
    });
    this.field.element.classList.add("is-stepped"); // its stepper stands for its control
    this.stepper.input.setAttribute("aria-describedby", this.field.control.getAttribute("aria-describedby"));
    this.element = make("div", "", this.stepper.element, this.field.element);
  }

  draw(at, span) {
    this.other = lengthOf(String(span[OTHER_END[this.key]] ?? ""));
    this.field.draw(at, String(span[this.key] ?? ""));
  }

  /** What is wished for, or stands in the plan, or else the standard, which gives way to what the plan
   * has for the other end. */
  seconds() {
    const text = this.field.wish.shown(this.field.own);
    if (text !== "") return lengthOf(text);
    if (this.standard === null || this.other === null) return this.standard;
    return this.key.startsWith("shortest") ? Math.min(this.standard, this.other) : Math.max(this.standard, this.other);
  }

  show() {
    const seconds = this.seconds();
    this.stepper.input.setAttribute("aria-invalid", String(this.field.wish.refusal !== null));
    if (seconds === null) this.stepper.write(this.field.wish.shown(this.field.own));
    else this.stepper.draw(seconds);
  }
}
