/** Sensors: what they read, and how long ago. */

import { arrange } from "/static/arrange.js";
import { byId, make, write } from "/static/dom.js";
import { numberShort } from "/static/numbers.js";
import { temperature } from "/static/temperatures.js";
import { lengthRound } from "/static/words/lengths.js";
import { WORDS } from "/static/words/now.js";
import { CONTACTS, MEASURES } from "/static/words/sensors.js";
import { sentence } from "/static/words/sentences.js";

const rows = new Map();

/** Draws all sensors of the picture. */
export function drawSensors(live) {
  const { sensors } = live.status;
  const elements = sensors.map((sensor) => {
    if (!rows.has(sensor.name)) rows.set(sensor.name, new Row(sensor));
    const row = rows.get(sensor.name);
    row.draw(sensor, live);
    return row.element;
  });
  for (const name of [...rows.keys()]) {
    if (!sensors.some((sensor) => sensor.name === name)) rows.delete(name);
  }
  if (!elements.length) elements.push(make("div", "", make("dt", "", WORDS.noSensors)));
  arrange(byId("sensor-list"), elements);
}

/** Lets ages grow. */
export function tickSensors(live) {
  for (const row of rows.values()) row.tick(live);
}

class Row {
  constructor(sensor) {
    this.value = make("dd", "sensor-value");
    this.age = make("dd", "sensor-age");
    const measures = MEASURES[sensor.measures] ?? sensor.measures;
    const title = make("dt", "", sensor.name);
    if (measures !== sensor.name) title.append(make("span", "measures", measures));
    this.element = make("div", "sensor", title, this.value, this.age);
  }

  draw(sensor, live) {
    this.sensor = sensor;
    const isSilent = sensor.value === null;
    this.element.classList.toggle("is-silent", isSilent);
    write(this.value, isSilent ? WORDS.noReading : readingOf(sensor));
    this.tick(live);
  }

  tick(live) {
    const { value, age_s: ageS, why_silent: why } = this.sensor;
    if (value === null) {
      write(this.age, sentence(why ?? ""));
      return;
    }
    const age = (ageS ?? 0) + live.passedS;
    write(this.age, age < 2 ? WORDS.justNow : WORDS.sensorAge(lengthRound(age)));
  }
}

function readingOf(sensor) {
  const contact = CONTACTS[sensor.measures]?.[sensor.value];
  if (contact !== undefined) return contact;
  if (sensor.unit === "°C") return temperature(sensor.value);
  return sensor.unit ? `${numberShort(sensor.value)}\u00a0${sensor.unit}` : numberShort(sensor.value);
}
