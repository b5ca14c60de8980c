/** Telling how a pump's water gets up: what has to be known is asked, nothing is made up. */

import { make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { toldOf } from "/static/editor/fields.js";
import { PairRows } from "/static/editor/pair_rows.js";
import { CURVE } from "/static/editor/points.js";
import { numberOr } from "/static/editor/schema.js";
import { LIFT } from "/static/words/water_form.js";

/** The keys of a pump that is told by its label. */
export const LABEL = ["shut_off_head_m", "free_flow_l_per_h"];
const WAY = ["height_m", "hose_bore_mm", "hose_length_m"];
const BY_CURVE = "curve";

/** What is asked for each key, as `AddForm` takes it. */
const askedFor = (desk, keys) => Object.fromEntries(keys.map((key) => [key, { ...toldOf(desk, "Lift", key), isNeeded: true }]));
export const labelAsked = (desk) => askedFor(desk, LABEL);

/** What was typed, as numbers; what is empty is left out. */
export const numbersOf = (typed) =>
  Object.fromEntries(Object.entries(typed).filter(([, text]) => text !== "").map(([key, text]) => [key, numberOr(text)]));

export class NewLift {
  constructor(desk, load, added) {
    this.form = new AddForm(desk, {
      asked: {
        ...askedFor(desk, WAY),
        by: { label: LIFT.by, options: [["label", LIFT.byLabel], [BY_CURVE, LIFT.byCurve]] },
        ...labelAsked(desk),
        curve: new PairRows(CURVE),
      },
      act: LIFT.add,
      home: () => `loads.${load}.lift`,
      edits: ({ by, curve, ...typed }) => [{
        do: "add", at: `loads.${load}.lift`, value: { ...numbersOf(typed), ...(curve.length ? { curve } : {}) },
      }],
      words: () => LIFT.added(load),
      added: () => {
        this.form.clear();
        this.settle();
        added();
      },
    });
    this.form.clear();
    this.form.fields.by.control.addEventListener("change", () => this.settle());
    this.element = make("div", "groups", make("p", "hint", LIFT.addHint), this.form.element);
    this.settle();
  }

  /** Nothing of it goes by what the plan has. */
  draw() {}

  /** Asks for what goes with the choice. */
  settle() {
    const { by, curve, ...rest } = this.form.fields;
    const isCurve = by.control.value === BY_CURVE;
    for (const key of LABEL) show(rest[key].element, !isCurve);
    show(curve.element, isCurve);
  }
}
