/** Adding a variant: other pieces of the day for a load in heat, cold, or by hand. */

import { make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { setOptions } from "/static/editor/labelled.js";
import { freeName } from "/static/editor/named.js";
import { numberOr } from "/static/editor/schema.js";
import { edgesFor, HAND, NEW, triggers } from "/static/editor/trigger.js";
import { WORDS as FORM } from "/static/words/editor.js";
import { WORDS } from "/static/words/settings.js";

const LEAST = "30m";

export class NewVariant {
  constructor(desk, load, close) {
    Object.assign(this, { desk, load });
    const words = WORDS.newVariant;
    this.form = new AddForm(desk, {
      asked: {
        trigger: { label: words.trigger, options: [[HAND, WORDS.trigger.hand]] },
        edge: { label: words.edge, unit: "" },
        until: { label: words.until, unit: "" },
        least: { label: words.least },
        name: { label: words.name },
      },
      act: WORDS.addVariant,
      edits: (values) => this.edits(values),
      words: ({ name }) => WORDS.toldVariantAdded(load, name),
      added: () => {
        this.isTyped = false;
        close();
      },
    });
    this.hint = make("p", "hint", WORDS.sensorHint);
    this.form.asked.after(this.hint);
    this.element = make("div", "groups", make("p", "hint", WORDS.variantHint), this.form.element);
    this.form.fields.trigger.control.addEventListener("change", () => this.suggest());
    this.form.element.addEventListener("input", ({ target }) => {
      if (target !== this.form.fields.trigger.control) this.isTyped = true;
    });
  }

  draw(load) {
    this.plan = load;
    const { trigger } = this.form.fields;
    const options = triggers(this.desk.draft.document.sensors);
    const key = JSON.stringify(options);
    if (key !== this.optionsKey) setOptions(trigger.control, options);
    if (this.optionsKey === undefined) trigger.control.selectedIndex = 0;
    this.optionsKey = key;
    this.suggest();
  }

  /** Fills in what nobody has typed yet, and shows what the choice needs. */
  suggest() {
    const { trigger, edge, until, least, name } = this.form.fields;
    const [way, sensor] = trigger.control.value.split(" ");
    for (const field of [edge, until, least]) show(field.element, way !== HAND);
    show(this.hint, way === NEW);
    const measures = this.desk.draft.document.sensors?.[sensor]?.measures ?? "air_temperature";
    for (const field of [edge, until]) field.setUnit(FORM.sign(measures).trim());
    if (this.isTyped) return;
    const first = edgesFor(measures, way);
    edge.control.value = String(first?.edge ?? "");
    until.control.value = String(first?.until ?? "");
    least.control.value = LEAST;
    const used = Object.fromEntries((this.plan.variants ?? []).map((variant) => [variant.name, true]));
    name.control.value = freeName(WORDS.variantNames[way === NEW ? "above" : way], used);
  }

  edits({ trigger, edge, until, least, name }) {
    const [way, sensor] = trigger.split(" ");
    const spans = this.plan.spans.map(({ from, cycle }) => ({ from, cycle }));
    const at = `loads.${this.load}.variants`;
    const index = this.plan.variants?.length ?? 0;
    if (way === HAND) return [{ do: "add", at, index, value: { name, by_hand: true, spans } }];
    const air = freeName("air", this.desk.draft.document.sensors);
    const value = {
      name, sensor: sensor ?? air, [way === "below" ? "below" : "above"]: numberOr(edge), until: numberOr(until),
      ...(least ? { at_least: least } : {}), spans,
    };
    const added = { do: "add", at, index, value };
    if (way !== NEW) return [added];
    return [{ do: "add", at: `sensors.${air}`, value: { measures: "air_temperature" } }, added];
  }
}
