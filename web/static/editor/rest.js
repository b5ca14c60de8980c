/** What a plan states besides its loads: plants, reservoirs, sensors, guards, place, energy, limits. */

import { button, make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { numberOr } from "/static/editor/field.js";
import { Fields } from "/static/editor/fields.js";
import { NamedList, removed } from "/static/editor/named_list.js";
import { NewSensor } from "/static/editor/new_sensor.js";
import { GROUPS, KEYS, WORDS } from "/static/words/settings.js";

export class Rest {
  constructor(desk) {
    this.desk = desk;
    this.stands = new NamedList(desk, { list: "stands", table: "Stand" });
    this.reservoirs = new NamedList(desk, { list: "reservoirs", table: "Reservoir" });
    this.sensors = new NamedList(desk, { list: "sensors", table: "Sensor" });
    this.newSensor = new NewSensor(desk);
    this.tables = [
      [new Fields(desk, { table: "Guards", groups: GROUPS.Guards, called: "guards" }), "guards"],
      [new Fields(desk, { table: "Site", groups: GROUPS.Site, besides: ["typical_day"], called: "site" }), "site"],
      [new Fields(desk, { table: "SiteLimits", groups: GROUPS.SiteLimits, called: "limits" }), "limits"],
    ];
    this.wholes = [
      new Whole(desk, { table: "TypicalDay", at: "site.typical_day", first: { coolest_c: "15", warmest_c: "28" } }),
      new Whole(desk, { table: "Energy", at: "energy", besides: ["tariff"], first: { price_per_kwh: "", currency: "" } }),
    ];
    this.element = make(
      "div", "groups", this.stands.element, this.reservoirs.element, this.sensors.element, this.newSensor.element,
      ...this.tables.map(([{ element }, at]) => make("div", "", element, desk.places.home(at))),
      ...this.wholes.map(({ element }) => element),
    );
  }

  draw(plan) {
    for (const list of [this.stands, this.reservoirs, this.sensors]) list.draw(plan);
    this.newSensor.draw(plan);
    for (const [fields, at] of this.tables) fields.draw(at, plan[at] ?? {});
    for (const whole of this.wholes) whole.draw(plan);
  }
}

/** A table that a plan has as a whole or not at all. */
class Whole {
  constructor(desk, { table, at, first, besides = [] }) {
    Object.assign(this, { desk, at });
    const [[title, keys]] = GROUPS[table];
    this.fields = new Fields(desk, { table, groups: GROUPS[table], besides, called: title });
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
