/** What a plan states besides its loads: plants, reservoirs, sensors, guards, place, energy, limits. */

import { button, make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { Drawer } from "/static/editor/drawer.js";
import { Fields, toldOf } from "/static/editor/fields.js";
import { NamedList } from "/static/editor/named_list.js";
import { NewReservoir } from "/static/editor/new_reservoir.js";
import { NewSensor } from "/static/editor/new_sensor.js";
import { NewStand } from "/static/editor/new_stand.js";
import { removed } from "/static/editor/removal.js";
import { numberOr } from "/static/editor/schema.js";
import { Tariff } from "/static/editor/tariff.js";
import { GROUPS, WORDS } from "/static/words/settings.js";
import { RESERVOIR, STAND } from "/static/words/water_form.js";

const OF_MONEY = ["price_per_kwh", "cost_per_month"];

export class Rest {
  constructor(desk) {
    this.desk = desk;
    this.stands = new NamedList(desk, { list: "stands", table: "Stand" });
    this.reservoirs = new NamedList(desk, { list: "reservoirs", table: "Reservoir" });
    this.sensors = new NamedList(desk, { list: "sensors", table: "Sensor" });
    this.newStand = this.adding(STAND.title, NewStand, this.stands);
    this.newReservoir = this.adding(RESERVOIR.title, NewReservoir, this.reservoirs);
    this.newSensor = new NewSensor(desk);
    this.tables = [
      [new Fields(desk, { table: "Guards", groups: GROUPS.Guards, called: "guards" }), "guards"],
      [new Fields(desk, { table: "Site", groups: GROUPS.Site, besides: ["typical_day"], called: "site" }), "site"],
      [new Fields(desk, { table: "SiteLimits", groups: GROUPS.SiteLimits, called: "limits" }), "limits"],
    ];
    this.wholes = [
      new Whole(desk, { table: "TypicalDay", at: "site.typical_day", first: { coolest_c: "15", warmest_c: "28" } }),
      new Whole(desk, { table: "Energy", at: "energy", besides: ["tariff"], more: [new Tariff(desk)], first: { price_per_kwh: "", currency: "" } }),
    ];
    this.element = make(
      "div", "groups", this.stands.element, this.newStand.element, this.reservoirs.element, this.newReservoir.element,
      this.sensors.element, this.newSensor.element,
      ...this.tables.map(([{ element }, at]) => make("div", "", element, desk.places.home(at))),
      ...this.wholes.map(({ element }) => element),
    );
  }

  /** A form for one more in a list, which leads there. */
  adding(title, Form, list) {
    const drawer = new Drawer(title, async () => new Form(this.desk, (name) => {
      drawer.close();
      list.enter(name);
    }), { opened: this.desk.settle });
    drawer.element.classList.add("item");
    return drawer;
  }

  draw(plan) {
    for (const list of [this.stands, this.reservoirs, this.sensors]) list.draw(plan);
    for (const form of [this.newStand, this.newReservoir, this.newSensor]) form.draw(plan);
    for (const [fields, at] of this.tables) fields.draw(at, plan[at] ?? {});
    for (const whole of this.wholes) whole.draw(plan);
    for (const { fields } of this.allFields) {
      for (const key of OF_MONEY) fields.get(key)?.setUnit(plan.energy?.currency ?? "");
    }
  }

  get allFields() {
    return [...this.tables.map(([fields]) => fields), ...this.wholes.map(({ fields }) => fields)];
  }
}

/** A table that a plan has as a whole or not at all. */
class Whole {
  constructor(desk, { table, at, first, besides = [], more = [] }) {
    Object.assign(this, { desk, at });
    const [[title, keys]] = GROUPS[table];
    this.fields = new Fields(desk, { table, groups: GROUPS[table], besides, called: title });
    this.removal = button("quiet", WORDS.removeTable[at], () => removed(desk, at, WORDS.toldTableRemoved(title)));
    this.removal.dataset.order = "";
    this.more = more;
    this.fields.groups.get(title).append(...more.map(({ element }) => element), make("div", "buttons wide", this.removal));
    this.is = make("div", "", this.fields.element, desk.places.home(at));
    this.form = new AddForm(desk, {
      asked: Object.fromEntries(keys.map((key) => [key, { ...toldOf(desk, table, key), value: first[key] }])),
      act: WORDS.addTable[at],
      home: () => at,
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
    for (const more of this.more) more.draw(part ?? {});
  }
}
