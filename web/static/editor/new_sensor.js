/** Adding a sensor. */

import { make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { freeName, placeOf } from "/static/editor/named.js";
import { numberOr } from "/static/editor/schema.js";
import { WORDS } from "/static/words/settings.js";

const NAMES = {
  air_temperature: "air", humidity: "humidity", water_temperature: "water", light: "light", level: "reservoir",
  flow: "meter", leak: "floor", stop: "switch",
};
// What a contact or a meter on a line tells; all else has an amount that only a file tells.
const ON_LINES = new Set(["level", "flow", "leak", "stop"]);

export class NewSensor {
  constructor(desk) {
    this.desk = desk;
    const words = WORDS.newSensor;
    this.form = new AddForm(desk, {
      asked: {
        measures: { label: words.measures, options: Object.keys(NAMES).map((name) => [name, WORDS.value("measures", name)]) },
        name: { label: words.name, hint: WORDS.newNameHint },
        file: { label: words.file, hint: WORDS.fileHint },
        line: { label: words.line, hint: WORDS.sensorLineHint, keyboard: "numeric" },
        pulses: { label: WORDS.pulses, hint: WORDS.pulsesHint, key: "pulses_per_litre", keyboard: "decimal" },
      },
      act: WORDS.addSensor,
      home: ({ name }) => placeOf("sensors", name),
      edits: (values) => [{ do: "add", at: placeOf("sensors", values.name), value: tableOf(values) }],
      words: ({ name }) => WORDS.toldSensorAdded(name),
      added: () => this.begin(),
    });
    this.element = make("details", "drawer item", make("summary", "", WORDS.newSensorTitle), this.form.element);
    this.form.fields.measures.control.addEventListener("change", () => this.suggest());
    this.form.fields.name.control.addEventListener("input", () => { this.isTyped = true; });
  }

  begin() {
    this.isTyped = false;
    this.element.open = false;
    this.form.clear();
    this.suggest();
    this.element.firstChild.focus();
  }

  draw() {
    this.suggest();
  }

  suggest() {
    const { measures, name, line, pulses } = this.form.fields;
    const chosen = measures.control.value;
    if (!this.isTyped) name.control.value = freeName(NAMES[chosen], this.desk.draft.document.sensors);
    show(line.element, ON_LINES.has(chosen));
    show(pulses.element, chosen === "flow");
  }
}

function tableOf({ measures, file, line, pulses }) {
  const isOnLine = ON_LINES.has(measures) && line !== "";
  return {
    measures, ...(file ? { file } : {}), ...(isOnLine ? { line: numberOr(line) } : {}),
    ...(measures === "flow" && pulses ? { pulses_per_litre: numberOr(pulses) } : {}),
  };
}
