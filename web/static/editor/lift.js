/** How a pump's water gets up: the height, the hose, what the pump can, what stands in the way. */

import { button, make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { Drawer } from "/static/editor/drawer.js";
import { Fields } from "/static/editor/fields.js";
import { Fittings } from "/static/editor/fittings.js";
import { LABEL, NewLift, labelAsked, numbersOf } from "/static/editor/new_lift.js";
import { PairRows } from "/static/editor/pair_rows.js";
import { CURVE } from "/static/editor/points.js";
import { removed } from "/static/editor/removal.js";
import { WishedRows } from "/static/editor/wished_rows.js";
import { GROUPS } from "/static/words/settings.js";
import { LIFT } from "/static/words/water_form.js";

const [[TITLE]] = GROUPS.Lift;

export class LiftPart {
  constructor(desk, load) {
    const at = `loads.${load}.lift`;
    Object.assign(this, { desk, at });
    this.fields = new Fields(desk, { table: "Lift", groups: GROUPS.Lift, besides: ["curve", "fittings"], called: load });
    this.curve = new Curve(desk, load, at, () => this.fields.fields.get(LABEL[0]).control.focus());
    this.fittings = new Fittings(desk, load, `${at}.fittings`);
    this.removal = button("quiet", LIFT.remove(load), () => removed(desk, at, LIFT.removed(load)));
    this.removal.dataset.order = "";
    this.drawer = this.fields.element.firstChild;
    this.fields.groups.get(TITLE).append(
      this.curve.element, this.fittings.element, make("div", "buttons wide", this.removal),
    );
    this.is = make("div", "", this.fields.element, desk.places.home(at));
    this.adding = new Drawer(TITLE, async () => new NewLift(desk, load, () => this.enter()), { opened: desk.settle });
    this.element = make("div", "drawers", this.is, this.adding.element);
  }

  draw({ kind, lift }) {
    const isThere = lift !== undefined;
    show(this.is, isThere);
    show(this.adding.element, !isThere && kind === "pump");
    this.adding.draw();
    if (!isThere) return;
    const part = Object(lift);
    this.fields.draw(this.at, part);
    this.curve.draw(part);
    this.fittings.draw(Object(part.fittings));
  }

  /** Leads to what has just been added. */
  enter() {
    this.adding.close();
    this.drawer.open = true;
    this.drawer.firstChild.focus();
  }
}

/** The pump by the points of its curve, and the way from there to its label and back. */
class Curve {
  /** `toLabel()` leads to the numbers of the label. */
  constructor(desk, load, lift, toLabel) {
    Object.assign(this, { desk, lift });
    const words = LIFT.toldCurve(load);
    this.rows = new WishedRows(desk, CURVE, { edits: (points) => this.setting({ curve: points }), words });
    this.toCurve = this.swap({
      title: LIFT.curveInstead, act: LIFT.takeCurve, words: () => words, asked: { curve: new PairRows(CURVE) },
      edits: ({ curve }) => [...this.without(LABEL), ...this.setting({ curve })], added: () => this.rows.rows.focus(),
    });
    this.toLabel = this.swap({
      title: LIFT.labelInstead, act: LIFT.takeLabel, words: () => LIFT.toldLabel(load), asked: labelAsked(desk),
      edits: (typed) => [...this.without(["curve"]), ...this.setting(numbersOf(typed))], added: toLabel,
    });
    this.element = make("div", "groups wide", this.rows.element, this.toCurve, this.toLabel);
  }

  /** A form in a drawer by which the pump is told the other way. */
  swap({ title, added, ...given }) {
    const form = new AddForm(this.desk, {
      ...given, home: () => this.lift,
      added: () => {
        form.clear();
        drawer.open = false;
        added();
      },
    });
    form.clear();
    const drawer = make("details", "drawer", make("summary", "", title), form.element);
    drawer.addEventListener("toggle", this.desk.settle);
    return drawer;
  }

  /** What to ask of the plan so that the lift has these values. */
  setting(values) {
    return Object.entries(values).map(([key, value]) => ({ do: "set", at: `${this.lift}.${key}`, value }));
  }

  /** What to ask of the plan so that the lift goes on without some keys. */
  without(keys) {
    return keys.filter((key) => key in this.part).map((key) => ({ do: "remove", at: `${this.lift}.${key}` }));
  }

  draw(part) {
    this.part = part;
    const isCurve = part.curve !== undefined;
    show(this.rows.element, isCurve);
    show(this.toLabel, isCurve);
    show(this.toCurve, !isCurve);
    this.rows.draw(pointsOf(part.curve));
  }
}

/** The points that a text has, whatever stands in their place while it is being typed. */
const pointsOf = (curve) => (Array.isArray(curve) ? curve : [])
  .map((point) => [0, 1].map((place) => (Array.isArray(point) ? point[place] ?? "" : "")));
