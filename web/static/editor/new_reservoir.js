/** Adding a reservoir, and saying which pumps draw from it. */

import { show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { toldOf } from "/static/editor/fields.js";
import { setOptions } from "/static/editor/labelled.js";
import { freeName, namesFor, placeOf } from "/static/editor/named.js";
import { numberOr } from "/static/editor/schema.js";
import { WORDS } from "/static/words/settings.js";
import { RESERVOIR } from "/static/words/water_form.js";

const LITRES = ["full_l", "inlet_at_l", "top_up_at_l"];
const OPTIONAL = "top_up_at_l";
const [NOBODY, ALL] = ["", "*"]; // no load has such a name

export class NewReservoir {
  /** `added(name)` is called once it is there. */
  constructor(desk, added) {
    this.desk = desk;
    this.form = new AddForm(desk, {
      asked: {
        name: { label: WORDS.lists.reservoirs.name, hint: WORDS.newNameHint },
        ...Object.fromEntries(LITRES.map((key) => [key, { ...toldOf(desk, "Reservoir", key), isNeeded: key !== OPTIONAL }])),
        drawn: { label: RESERVOIR.drawn, options: [[NOBODY, RESERVOIR.nobody]] },
      },
      act: RESERVOIR.add,
      home: ({ name }) => placeOf("reservoirs", name),
      edits: (values) => this.edits(values),
      words: ({ name }) => RESERVOIR.added(name),
      added: ({ name }) => {
        this.begin();
        added(name);
      },
    });
    this.element = this.form.element;
    this.form.fields.name.control.addEventListener("input", () => { this.isNamed = true; });
    this.form.fields.drawn.control.addEventListener("change", () => { this.isChosen = true; });
  }

  begin() {
    Object.assign(this, { isNamed: false, isChosen: false });
    this.form.clear();
    this.draw();
  }

  draw() {
    const { document: plan } = this.desk.draft;
    const { name, drawn } = this.form.fields;
    if (!this.isNamed) name.control.value = freeName(RESERVOIR.firstName, plan.reservoirs);
    const loads = namesFor(plan, "watered_by");
    const from = (load) => Object(plan.loads[load]).reservoir;
    setOptions(drawn.control, [
      [NOBODY, RESERVOIR.nobody],
      ...(loads.length > 1 ? [[ALL, RESERVOIR.all]] : []),
      ...loads.map((load) => [load, from(load) === undefined ? load : RESERVOIR.insteadOf(load, from(load))]),
    ]);
    // Where only one pump draws from nowhere, it is the one.
    const free = loads.filter((load) => from(load) === undefined);
    if (!this.isChosen) drawn.control.value = free.length === 1 ? free[0] : NOBODY;
    show(drawn.element, loads.length > 0);
  }

  edits({ name, drawn, ...typed }) {
    const said = Object.entries(typed).filter(([, text]) => text !== "");
    const value = Object.fromEntries(said.map(([key, text]) => [key, numberOr(text)]));
    const loads = drawn === ALL ? namesFor(this.desk.draft.document, "watered_by") : [drawn].filter(Boolean);
    return [
      { do: "add", at: placeOf("reservoirs", name), value },
      ...loads.map((load) => ({ do: "set", at: `loads.${load}.reservoir`, value: name })),
    ];
  }
}
