/** Adding plants: what has to be known of them is asked, nothing is made up. */

import { make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { choicesOf, toldOf } from "/static/editor/fields.js";
import { setOptions } from "/static/editor/labelled.js";
import { freeName, namesFor, placeOf } from "/static/editor/named.js";
import { schemaOf, valueOf } from "/static/editor/schema.js";
import { WORDS } from "/static/words/settings.js";
import { CHOOSE, STAND } from "/static/words/water_form.js";

const [BY_DATE, BY_AGE] = ["sown", "age"];
const CHOSEN = ["watered_by", "medium", "place", "lamp"];
// Of what is asked, by what stands elsewhere in the form: whether it is asked at all.
const ASKED_IF = {
  sown: ({ age }) => age === BY_DATE,
  age_days: ({ age }) => age === BY_AGE,
  medium_ml: ({ medium }) => medium !== "bare-roots",
  lamp: ({ place }) => place === "under-lamps",
  ppfd_umol: ({ place }) => place === "under-lamps",
};

export class NewStand {
  /** `added(name)` is called once it is there. */
  constructor(desk, added) {
    this.desk = desk;
    const key = (name, more = {}) => ({ ...toldOf(desk, "Stand", name, more.standard), ...more });
    const chosen = (name) => key(name, { options: this.choices(name), isNeeded: true });
    const standard = schemaOf(desk.draft.schema, "Stand", "reserve").default;
    this.form = new AddForm(desk, {
      asked: {
        watered_by: chosen("watered_by"),
        name: { label: WORDS.lists.stands.name, hint: WORDS.newNameHint },
        plants: key("plants", { isNeeded: true }),
        age: { label: STAND.age, options: [[BY_DATE, STAND.bySowing], [BY_AGE, STAND.byAge]], key: "age" },
        sown: key("sown", { type: "date", hint: STAND.sownHint, isNeeded: true }),
        age_days: key("age_days", { isNeeded: true }),
        medium: chosen("medium"),
        medium_ml: key("medium_ml", { isNeeded: true }),
        plants_per_m2: key("plants_per_m2", { isNeeded: true }),
        place: chosen("place"),
        lamp: chosen("lamp"),
        ppfd_umol: key("ppfd_umol", { isNeeded: true }),
        drip_ml_per_min: key("drip_ml_per_min"),
        reserve: key("reserve", { standard }),
      },
      act: STAND.add,
      home: ({ name }) => placeOf("stands", name),
      edits: (values) => [{ do: "add", at: placeOf("stands", values.name), value: this.tableOf(values) }],
      words: ({ name }) => STAND.added(name),
      added: ({ name }) => {
        this.begin();
        added(name);
      },
    });
    this.none = make("p", "hint", STAND.noPump);
    this.element = make("div", "groups", this.none, this.form.element);
    this.form.element.addEventListener("change", () => this.settle());
    this.form.fields.name.control.addEventListener("input", () => { this.isNamed = true; });
  }

  begin() {
    this.isNamed = false;
    this.form.clear();
    this.draw();
  }

  choices(name) {
    return choicesOf(this.desk, "Stand", name, CHOOSE);
  }

  draw() {
    const { document: plan } = this.desk.draft;
    const { fields } = this.form;
    for (const name of CHOSEN) setOptions(fields[name].control, this.choices(name));
    const waterers = namesFor(plan, "watered_by");
    // Where there is only one, it is the one.
    if (!fields.watered_by.value && waterers.length === 1) [fields.watered_by.control.value] = waterers;
    if (!this.isNamed) fields.name.control.value = freeName(STAND.firstName, plan.stands);
    show(this.none, waterers.length === 0);
    show(this.form.element, waterers.length > 0);
    this.settle();
  }

  settle() {
    const { fields } = this.form;
    const values = Object.fromEntries(Object.entries(fields).map(([name, { control }]) => [name, control.value]));
    for (const [name, isAsked] of Object.entries(ASKED_IF)) show(fields[name].element, isAsked(values));
    const { lift } = Object(this.desk.draft.document.loads?.[values.watered_by]);
    show(fields.drip_ml_per_min.element, lift === undefined); // else it comes from that
  }

  tableOf({ name: _name, age: _age, ...typed }) {
    const { schema } = this.desk.draft;
    const said = Object.entries(typed).filter(([, text]) => text !== "");
    return Object.fromEntries(said.map(([key, text]) => [key, valueOf(schemaOf(schema, "Stand", key), text)]));
  }
}
