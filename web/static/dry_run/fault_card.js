/** One fault as a part of a form. */

import { button, make, show, write } from "/static/dom.js";
import { Field, input, select } from "/static/dry_run/fields.js";
import { KINDS, MOMENTS, isLocalMoment, isOutside } from "/static/dry_run/fault_script.js";
import { CONTACTS } from "/static/words/sensors.js";
import { FAULTS, WORDS } from "/static/words/dry-run-faults.js";
import { sentence } from "/static/words/sentences.js";

let lists = 0;

/** What is wrong with an empty field, to somebody who sees a form and no script. */
const emptyWords = (key) => (key in FAULTS.nothingNamed ? sentence(FAULTS.nothingNamed[key]) : WORDS.fieldEmpty);

export class FaultCard {
  /** `hear()` after a change of `fault`, `remove()` when it is to go; `plan` has what can be named:
   * {loads: [{name, kind, variants}], sensors: [{name, measures}]}. */
  constructor(fault, plan, { hear, remove }) {
    this.fault = fault;
    this.fields = new Map();
    this.title = make("h3", "fault-title");
    this.problem = make("p", "problem");
    this.note = make("p", "hint");
    const grid = make("div", "fault-fields");
    for (const key of KINDS[fault.kind]) {
      const field = new Field(FAULTS.fields[key](fault.kind), this.control(key, plan, hear), FAULTS.hints[key] ?? "");
      field.element.classList.toggle("is-wide", key === "order");
      this.fields.set(key, field);
      grid.append(field.element);
    }
    this.gone = button("quiet fault-remove", WORDS.remove, remove);
    const head = make("div", "fault-head", this.title, this.gone);
    this.element = make("li", "fault", head, this.problem, grid, this.note);
  }

  /** Draws its place in the list, and whether the run's dates have it. */
  draw(number, { first, last }) {
    const words = FAULTS.kinds[this.fault.kind];
    write(this.title, WORDS.faultTitle(number + 1, words));
    this.gone.setAttribute("aria-label", WORDS.removeName(WORDS.faultTitle(number + 1, words)));
    write(this.note, first && isOutside(this.fault, first, last) ? WORDS.faultOutside : "");
  }

  /** Tells complaints, [{key, message}], each beside its field. */
  tell(complaints) {
    const others = complaints.filter(({ key }) => !this.fields.has(key));
    write(this.problem, others.map(({ message }) => sentence(message)).join(" "));
    for (const [key, field] of this.fields) {
      const own = complaints.filter((one) => one.key === key);
      const isEmpty = own.length > 0 && !(this.fault[key] ?? "").trim();
      field.tell(isEmpty ? emptyWords(key) : own.map(({ message }) => sentence(message)).join(" "));
    }
  }

  focus() {
    this.fields.values().next().value.control.focus();
  }

  control(key, plan, hear) {
    const { fault } = this;
    const take = (value) => {
      fault[key] = value;
      hear();
    };
    const control = this.emptyControl(key, plan, take);
    control.value = fault[key] ?? "";
    return control;
  }

  emptyControl(key, plan, take) {
    if (MOMENTS.has(key)) {
      const isLocal = isLocalMoment(this.fault[key] ?? "");
      return input(isLocal ? "datetime-local" : "text", take, { maxLength: 40 });
    }
    if (key === "load") return this.names(key, plan.loads, this.fault.kind === "pump_fails", take);
    if (key === "sensor") {
      return this.names(key, plan.sensors, false, (name) => {
        take(name);
        this.tellMeaning(plan);
      });
    }
    if (key === "order") return this.order(plan, take);
    const control = input("text", take, { maxLength: 200 });
    if (key === "value") {
      control.inputMode = "decimal";
      queueMicrotask(() => this.tellMeaning(plan));
    }
    return control;
  }

  /** A select of names; one that the plan has not is kept, and told as what it is by the program. */
  names(key, known, isPumpOnly, take) {
    const fit = known.filter(({ kind }) => !isPumpOnly || kind === "pump" || kind === "valve");
    const names = (fit.length ? fit : known).map(({ name }) => name);
    const own = this.fault[key];
    if (!own && names.length) this.fault[key] = names[0];
    if (own && !names.includes(own)) names.push(own);
    return select(names.length ? names.map((name) => [name, name]) : [["", FAULTS.nothingNamed[key]]], take);
  }

  /** On, off, a cycle, or a variant that the plan has: typed, or taken from the list. */
  order(plan, take) {
    const variants = plan.loads.flatMap(({ variants: names }) => names);
    const list = make("datalist", "", ...["on", "off", ...new Set(variants)].map((value) => {
      const option = make("option");
      option.value = value;
      return option;
    }));
    list.id = `orders-${(lists += 1)}`;
    queueMicrotask(() => this.element.append(list));
    const control = input("text", take, { maxLength: 2000 });
    control.setAttribute("list", list.id);
    return control;
  }

  /** What 0 and 1 mean to a sensor that is a contact. */
  tellMeaning(plan) {
    const field = this.fields.get("value");
    if (!field) return;
    const measures = plan.sensors.find(({ name }) => name === this.fault.sensor)?.measures;
    const contact = CONTACTS[measures];
    field.tellHint(contact ? WORDS.contact(contact[0], contact[1]) : (FAULTS.measures[measures] ?? ""));
    show(field.hint, field.hint.textContent !== "");
  }
}
