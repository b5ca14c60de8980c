/** What a plan states besides its loads: sensors, guards, place, energy, limits. */

import { arrange, button, make, show } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { AddForm } from "/static/editor/add_form.js";
import { numberOr } from "/static/editor/field.js";
import { Fields } from "/static/editor/fields.js";
import { NewSensor } from "/static/editor/new_sensor.js";
import { nameField } from "/static/editor/naming.js";
import { GROUPS, KEYS, WORDS } from "/static/words/settings.js";

export class Rest {
  constructor(desk) {
    this.desk = desk;
    this.sensors = new Map();
    this.sensorList = make("div", "groups");
    this.noSensors = make("p", "hint", WORDS.noSensors);
    this.newSensor = new NewSensor(desk);
    this.tables = [
      [new Fields(desk, { table: "Guards", groups: GROUPS.Guards, called: "guards" }), "guards"],
      [new Fields(desk, { table: "Site", groups: GROUPS.Site, besides: ["typical_day"], called: "site" }), "site"],
      [new Fields(desk, { table: "SiteLimits", groups: GROUPS.SiteLimits, called: "limits" }), "limits"],
    ];
    this.wholes = [
      new Whole(desk, { table: "TypicalDay", at: "site.typical_day", first: { coolest_c: "15", warmest_c: "28" } }),
      new Whole(desk, { table: "Energy", at: "energy", first: { price_per_kwh: "", currency: "" } }),
    ];
    this.element = make(
      "div", "groups", make("h3", "", WORDS.sensors), this.noSensors, this.sensorList, this.newSensor.element,
      ...this.tables.map(([{ element }, at]) => make("div", "", element, desk.places.home(at))),
      ...this.wholes.map(({ element }) => element),
    );
  }

  draw(plan) {
    const names = Object.keys(plan.sensors ?? {});
    for (const name of [...this.sensors.keys()]) if (!names.includes(name)) this.sensors.delete(name);
    for (const name of names) if (!this.sensors.has(name)) this.sensors.set(name, new SensorItem(this.desk, name));
    arrange(this.sensorList, names.map((name) => this.sensors.get(name).element));
    for (const name of names) this.sensors.get(name).draw(plan.sensors[name]);
    show(this.noSensors, names.length === 0);
    this.newSensor.draw(plan);
    for (const [fields, at] of this.tables) fields.draw(at, plan[at] ?? {});
    for (const whole of this.wholes) whole.draw(plan);
  }
}

class SensorItem {
  constructor(desk, name) {
    Object.assign(this, { desk, name });
    this.at = `sensors.${name}`;
    this.fields = new Fields(desk, { table: "Sensor", groups: GROUPS.Sensor, called: name });
    this.naming = nameField(desk, { label: WORDS.sensorName, from: "sensors", name });
    this.removal = button("quiet", WORDS.removeSensor(name), () => removed(desk, this.at, WORDS.toldRemoved(name)));
    this.removal.dataset.order = "";
    this.element = make(
      "section", "item", make("h4", "", name), desk.places.home(this.at), this.fields.element, this.naming.element,
      make("div", "buttons", this.removal),
    );
  }

  draw(sensor) {
    this.fields.draw(this.at, sensor);
    this.naming.draw(`${this.at}.`, this.name);
  }
}

/** A table that a plan has as a whole or not at all. */
class Whole {
  constructor(desk, { table, at, first }) {
    Object.assign(this, { desk, at });
    const [[title, keys]] = GROUPS[table];
    this.fields = new Fields(desk, { table, groups: GROUPS[table], called: title });
    this.removal = button("quiet", WORDS.removeTable[at], () => removed(desk, at, WORDS.toldTableRemoved(title)));
    this.removal.dataset.order = "";
    this.fields.groups.get(title).append(make("div", "buttons wide", this.removal));
    this.is = make("div", "", this.fields.element, desk.places.home(at));
    this.form = new AddForm(desk, {
      asked: Object.fromEntries(keys.map((key) => [key, { ...KEYS[table][key], value: first[key] }])),
      act: WORDS.addTable[at],
      edits: (values) => [{
        do: "add", at, value: Object.fromEntries(Object.entries(values).map(([key, text]) => [key, numberOr(text)])),
      }],
      words: () => WORDS.toldTable(title),
      added: () => {
        const drawer = this.fields.element.firstChild;
        drawer.open = true;
        drawer.firstChild.focus();
      },
    });
    this.isNot = make("details", "drawer", make("summary", "", title), this.form.element);
    this.element = make("div", "", this.is, this.isNot);
  }

  draw(plan) {
    const part = this.at.split(".").reduce((table, key) => table?.[key], plan);
    show(this.is, part !== undefined);
    show(this.isNot, part === undefined);
    this.fields.draw(this.at, part ?? {});
  }
}

async function removed(desk, at, words) {
  const answer = await desk.draft.edit([{ do: "remove", at }], words);
  if (answer.isDone) tell(words, { undoing: () => desk.draft.undo() });
  else tell(answer.findings?.find(({ level }) => level === "error")?.message ?? answer.message, { isProblem: true });
}
