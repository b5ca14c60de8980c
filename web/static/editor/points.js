/** The points of a pump's curve, a row each: so much flows at such a height. */

import { button, make } from "/static/dom.js";
import { alerting, listFindings } from "/static/editor/findings.js";
import { numberOr } from "/static/editor/schema.js";
import { POINTS, REMOVE } from "/static/words/water_form.js";

const NUMBERED = /\bpoint (\d+)/g; // as the plan's reader tells of one
const FIRST_ROWS = 3; // to begin with: nothing lifted, something between, nothing flows any more

let count = 0;

/** Rows with which numbers are added, changed and removed; `changed(points)` is told of each change that
 * leaves no row half filled. Can stand among the controls of an `AddForm`. */
export class PointRows {
  constructor({ changed = () => {} } = {}) {
    this.changed = changed;
    Object.assign(this, { key: "curve", isNeeded: true });
    this.rows = [];
    this.list = make("ol", "plain points");
    this.list.setAttribute("role", "list");
    this.adding = button("", POINTS.add, () => this.append());
    this.adding.dataset.order = "";
    const hint = make("p", "hint", POINTS.hint);
    const { element: refused, list } = alerting();
    this.refused = list;
    refused.id = `points-${++count}-refused`;
    this.about = refused.id;
    this.element = make(
      "fieldset", "part wide", make("legend", "", POINTS.title), hint, this.list, refused, make("div", "buttons", this.adding),
    );
  }

  /** [[L/h, m]] of the rows that have anything in them; text where something is no number. */
  get value() {
    if (this.element.hidden) return [];
    return this.rows.filter((row) => !row.isEmpty).map(({ texts }) => texts.map(numberOr));
  }

  get isEmpty() {
    return this.value.length === 0;
  }

  /** Shows the points that the plan has; what is being typed stays until those are others. */
  draw(points) {
    const shown = JSON.stringify(points);
    if (this.shown === shown) return;
    this.shown = shown;
    while (this.rows.length < points.length) this.add();
    while (this.rows.length > points.length) this.rows.pop().element.remove();
    this.rows.forEach((row, number) => row.write(points[number].map(String)));
  }

  /** What is typed goes when the plan's points are drawn next, were they the same. */
  forget() {
    this.shown = null;
  }

  /** Empty rows to begin with. */
  clear() {
    this.forget();
    this.draw(Array.from({ length: FIRST_ROWS }, () => ["", ""]));
  }

  /** Says what is wrong with the points, and marks those which it is about: all, unless it tells their numbers. */
  refuse(findings) {
    listFindings(this.refused, findings);
    if (findings.length && this.rows.some((row) => !row.isEmpty)) this.drop(this.rows.filter((row) => row.isEmpty));
    const numbers = new Set(findings.flatMap(({ message }) => [...message.matchAll(NUMBERED)].map(([, number]) => Number(number))));
    this.rows.forEach((row, place) => row.mark(findings.length > 0 && (!numbers.size || numbers.has(place + 1))));
  }

  focus() {
    const wrong = this.rows.find(({ isWrong }) => isWrong) ?? this.rows[0];
    (wrong?.flow ?? this.adding).focus();
  }

  add() {
    const row = new Row(this, this.rows.length + 1);
    this.rows.push(row);
    this.list.append(row.element);
    return row;
  }

  append() {
    this.add().flow.focus();
  }

  drop(rows) {
    this.rows = this.rows.filter((row) => !rows.includes(row));
    for (const { element } of rows) element.remove();
    this.rows.forEach((row, place) => row.call(place + 1));
  }

  remove(row) {
    const number = this.rows.indexOf(row);
    this.drop([row]);
    (this.rows[number]?.removal ?? this.adding).focus();
    if (!row.isEmpty) this.tell();
  }

  tell() {
    if (this.rows.some((row) => !row.isEmpty && !row.texts.every(Boolean))) return; // somebody is at it
    this.changed(this.value);
  }
}

class Row {
  constructor(rows, number) {
    this.rows = rows;
    this.flow = this.input();
    this.head = this.input();
    this.removal = button("quiet row-removal", REMOVE, () => rows.remove(this));
    this.removal.dataset.order = "";
    this.element = make(
      "li", "point", this.flow, make("span", "unit", POINTS.flowUnit), this.head, make("span", "unit", POINTS.headUnit), this.removal,
    );
    this.call(number);
  }

  input() {
    const input = Object.assign(make("input"), { type: "text", inputMode: "decimal", autocomplete: "off" });
    input.dataset.order = "";
    input.setAttribute("aria-describedby", this.rows.about);
    input.addEventListener("change", () => this.rows.tell());
    return input;
  }

  /** What it is called to those who do not see its place. */
  call(number) {
    this.flow.setAttribute("aria-label", POINTS.flow(number));
    this.head.setAttribute("aria-label", POINTS.head(number));
    this.removal.setAttribute("aria-label", POINTS.removeIt(number));
  }

  get texts() {
    return [this.flow.value.trim(), this.head.value.trim()];
  }

  get isEmpty() {
    return !this.texts.some(Boolean);
  }

  mark(isWrong) {
    this.isWrong = isWrong;
    for (const input of [this.flow, this.head]) input.setAttribute("aria-invalid", String(isWrong));
  }

  write([flow, head]) {
    if (this.flow.value !== flow) this.flow.value = flow;
    if (this.head.value !== head) this.head.value = head;
  }
}
