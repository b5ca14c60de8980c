/** Pairs of values, a row each: the points of a pump's curve, the prices of a day. */

import { button, make, write } from "/static/dom.js";
import { alerting, listFindings } from "/static/editor/findings.js";
import { REMOVE } from "/static/words/rows.js";

let count = 0;

/** Rows in which pairs are added, changed and removed; `changed(pairs)` is told of each change that leaves
 * no row half filled. `kind` of pairs: the `key` of the plan; `read(texts)`, the pair that two texts are;
 * `placesIn(finding)`, the numbers of the pairs that one is about, none where it is about all; `words`;
 * how many rows there are at `first`. Can stand among the controls of an `AddForm`. */
export class PairRows {
  constructor(kind, { changed = () => {} } = {}) {
    Object.assign(this, { kind, changed, key: kind.key, isNeeded: true, unit: kind.words.secondUnit });
    const { words } = kind;
    this.rows = [];
    this.list = make("ol", "plain points");
    this.list.setAttribute("role", "list");
    this.adding = button("", words.add, () => this.append());
    this.adding.dataset.order = "";
    const hint = make("p", "hint", words.hint);
    const { element: refused, list } = alerting();
    this.refused = list;
    refused.id = `points-${++count}-refused`;
    this.about = refused.id;
    this.element = make(
      "fieldset", "part wide", make("legend", "", words.title), hint, this.list, refused, make("div", "buttons", this.adding),
    );
  }

  /** The pairs of the rows that have anything in them, as the plan has them. */
  get value() {
    if (this.element.hidden) return [];
    return this.rows.filter((row) => !row.isEmpty).map(({ texts }) => this.kind.read(texts));
  }

  get isEmpty() {
    return this.value.length === 0;
  }

  /** Shows the pairs that the plan has; what is being typed stays until those are others. */
  draw(pairs) {
    const shown = JSON.stringify(pairs);
    if (this.shown === shown) return;
    this.shown = shown;
    while (this.rows.length < pairs.length) this.add();
    while (this.rows.length > pairs.length) this.rows.pop().element.remove();
    this.rows.forEach((row, number) => row.write(pairs[number].map(String)));
  }

  /** Says in what the second of each pair is. */
  setUnit(text) {
    this.unit = text;
    for (const row of this.rows) write(row.unit, text);
  }

  /** What is typed goes when the plan's pairs are drawn next, were they the same. */
  forget() {
    this.shown = null;
  }

  /** Empty rows to begin with. */
  clear() {
    this.forget();
    this.draw(Array.from({ length: this.kind.first }, () => ["", ""]));
  }

  /** Says what is wrong, and marks the pairs which it is about. */
  refuse(findings) {
    listFindings(this.refused, findings);
    if (findings.length && this.rows.some((row) => !row.isEmpty)) this.drop(this.rows.filter((row) => row.isEmpty));
    const places = new Set(findings.flatMap(this.kind.placesIn));
    this.rows.forEach((row, place) => row.mark(findings.length > 0 && (!places.size || places.has(place))));
  }

  focus() {
    const wrong = this.rows.find(({ isWrong }) => isWrong) ?? this.rows[0];
    (wrong?.first ?? this.adding).focus();
  }

  add() {
    const row = new Row(this, this.rows.length + 1);
    this.rows.push(row);
    this.list.append(row.element);
    return row;
  }

  append() {
    this.add().first.focus();
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
    const { words, keyboard = "decimal" } = rows.kind;
    this.first = this.input(keyboard);
    this.second = this.input("decimal");
    this.unit = make("span", "unit", rows.unit);
    this.removal = button("quiet row-removal", REMOVE, () => rows.remove(this));
    this.removal.dataset.order = "";
    this.element = make(
      "li", "point", this.first, make("span", "unit", words.firstUnit), this.second, this.unit, this.removal,
    );
    this.call(number);
  }

  input(inputMode) {
    const input = Object.assign(make("input"), { type: "text", inputMode, autocomplete: "off" });
    input.dataset.order = "";
    input.setAttribute("aria-describedby", this.rows.about);
    input.addEventListener("change", () => this.rows.tell());
    return input;
  }

  /** What it is called to those who do not see its place. */
  call(number) {
    const { words } = this.rows.kind;
    this.first.setAttribute("aria-label", words.firstName(number));
    this.second.setAttribute("aria-label", words.secondName(number));
    this.removal.setAttribute("aria-label", words.removeIt(number));
  }

  get texts() {
    return [this.first.value.trim(), this.second.value.trim()];
  }

  get isEmpty() {
    return !this.texts.some(Boolean);
  }

  mark(isWrong) {
    this.isWrong = isWrong;
    for (const input of [this.first, this.second]) input.setAttribute("aria-invalid", String(isWrong));
  }

  write([first, second]) {
    if (this.first.value !== first) this.first.value = first;
    if (this.second.value !== second) this.second.value = second;
  }
}
