/** What runs of plans came to, load by load: one run, or one before and one after with what became
 * of each figure, by sign and word. Drawn again, it changes in place. */

import { arrange } from "/static/arrange.js";
import { make, show, write } from "/static/dom.js";
import { changeOf, extentOf, pairOf, textOf } from "/static/preview/change.js";
import { FIGURES } from "/static/preview/figures.js";
import { ACCOUNT } from "/static/words/preview.js";

const drawn = new WeakMap();

/** Draws the account of one run, or of two side by side, into `home`.
 *
 * A run is `{loads}`, a list of accounts as the preview tells them ({name, kind, starts, on_s,
 * longest_dry_gap_s, longest_on_s, energy_kwh}). `second` is what comes after `first`; null where
 * there is one run alone. `price` is {perKwh, currency}, or null where none is known. `level` is
 * that of the loads' headings; `isWhole` false leaves out the loads whose figures are the same
 * in both, or nearly so, which are only named. `figures` are those of the rows, where the list is of
 * something else than loads, `caption(name)` what a table is called, and `noneWords` what stands
 * where the list is empty. */
export function accountTable(home, first, second, options = {}) {
  accountColumns(home, [{ title: "", first, second }], options);
}

/** The same for several pairs of runs: a column `{title, first, second}` each. */
export function accountColumns(home, columns, options = {}) {
  if (!drawn.has(home)) drawn.set(home, new Account(home));
  drawn.get(home).draw(columns, {
    price: null, level: 3, isWhole: true, figures: FIGURES, caption: ACCOUNT.caption, noneWords: ACCOUNT.none, ...options,
  });
}

class Account {
  constructor(home) {
    this.list = make("div", "account");
    this.rest = make("p", "hint");
    this.tables = new Map();
    home.replaceChildren(this.list, this.rest);
  }

  draw(columns, options) {
    const { price, isWhole, figures } = options;
    const rest = { none: [], slight: [] };
    const elements = [];
    const names = namesIn(columns);
    for (const name of names) {
      const pairs = columns.map(({ first, second }) => pairOf(name, first, second));
      const extent = isWhole ? "clear" : extentOf(pairs, price, figures);
      if (extent === "clear") elements.push(this.table(name, columns, options).draw(pairs, figures, price));
      else rest[extent].push(name);
    }
    for (const name of [...this.tables.keys()]) if (!names.includes(name)) this.tables.delete(name);
    arrange(this.list, elements);
    write(this.rest, names.length ? restWords(rest) : options.noneWords);
  }

  table(name, columns, { level, figures, caption }) {
    const key = `${level} ${columns.map(({ title }) => title).join("|")}`;
    const before = this.tables.get(name);
    if (before?.key === key) return before;
    const table = new LoadTable(name, { titles: columns.map(({ title }) => title), level, key, figures, caption });
    this.tables.set(name, table);
    return table;
  }
}

function restWords({ none, slight }) {
  const parts = [];
  if (slight.length) parts.push(ACCOUNT.slight(slight.join(", ")));
  if (none.length) parts.push(ACCOUNT.alike(none.join(", ")));
  return parts.join(" ");
}

function namesIn(columns) {
  const runs = columns.flatMap(({ first, second }) => [second, first]).filter(Boolean);
  return [...new Set(runs.flatMap(({ loads }) => loads.map((load) => load.name)))];
}

/** One load: a row for each figure, a column for each pair of runs. */
class LoadTable {
  constructor(name, { titles, level, key, figures, caption }) {
    this.key = key;
    this.rows = new Map();
    this.titles = titles;
    this.note = make("span", "account-note");
    const body = make("tbody");
    for (const { key: figure } of figures) {
      const row = new FigureRow(figure, titles.length);
      this.rows.set(figure, row);
      body.append(row.element);
    }
    const table = make("table", "account-table", make("caption", "unseen", caption(name)), headOf(titles), body);
    const title = make(`h${level}`, "account-name", name, " ", this.note);
    this.element = make("section", "account-load", title, table);
    this.element.dataset.load = name;
  }

  /** Draws, and gives what it has drawn into. */
  draw(pairs, figures, price) {
    const one = pairs.map(({ before, after }) => after ?? before).find(Boolean);
    const isNew = pairs.some(({ before, isAlone }) => !isAlone && before === null);
    const isGone = pairs.some(({ after }) => after === null);
    write(this.note, isGone ? ACCOUNT.isGone : isNew ? ACCOUNT.isNew : "");
    for (const figure of figures) this.rows.get(figure.key).draw(figure, one, pairs, price);
    return this.element;
  }
}

function headOf(titles) {
  const cells = titles.map((title) => make("th", "", title || ACCOUNT.value));
  for (const cell of cells) cell.scope = "col";
  const first = make("th", "", make("span", "unseen", ACCOUNT.figure));
  first.scope = "col";
  const head = make("thead", titles.some(Boolean) ? "" : "unseen", make("tr", "", first, ...cells));
  return head;
}

class FigureRow {
  constructor(key, count) {
    this.label = make("th");
    this.label.scope = "row";
    this.cells = Array.from({ length: count }, () => new FigureCell());
    this.element = make("tr", "", this.label, ...this.cells.map((cell) => cell.element));
    this.element.dataset.figure = key;
  }

  /** `one` is the load, by the newest run that has it. */
  draw(figure, one, pairs, price) {
    write(this.label, figure.label(one));
    const isTold = pairs.some(({ before, after }) =>
      [before, after].some((load) => load !== null && (figure.isTold?.(load) ?? figure.value(load, price) !== null)));
    show(this.element, isTold);
    if (!isTold) return;
    const changes = pairs.map((pair) => changeOf(figure, pair, price));
    const isOther = changes.some((change) => change !== null);
    this.cells.forEach((cell, place) => {
      cell.draw(figure, pairs[place], price, changes[place], isOther);
    });
  }
}

/** `15 min → 20 min`, and below it `+ 5 min longer`. */
class FigureCell {
  constructor() {
    this.before = make("span", "account-before");
    this.after = make("strong", "account-after");
    this.arrow = make("span", "account-arrow", "→\u00a0");
    this.arrow.setAttribute("aria-hidden", "true");
    this.from = make("span", "", make("span", "unseen", ACCOUNT.from), this.before, " ", make("span", "unseen", ACCOUNT.to));
    this.sign = make("span", "account-sign");
    this.sign.setAttribute("aria-hidden", "true"); // the word beside it tells the same
    this.words = make("span");
    this.change = make("span", "account-change", this.sign, this.words);
    this.beside = make("span", "account-beside");
    const after = make("span", "account-whole", this.arrow, this.after);
    this.element = make("td", "", this.from, after, this.change, this.beside);
  }

  /** `isInOtherRow`: another column of the row changes. */
  draw(figure, { before, after }, price, change, isInOtherRow) {
    const text = (load) => (load === null ? "–" : whole(textOf(figure, figure.value(load, price), price)));
    for (const part of [this.from, this.arrow]) show(part, change !== null);
    write(this.before, text(before));
    write(this.after, text(after));
    show(this.change, change === null ? isInOtherRow : change.word !== "");
    write(this.sign, change?.sign ?? "");
    write(this.beside, after === null ? "" : figure.note?.(after, before) ?? "");
    write(this.words, change === null ? ACCOUNT.same : `${whole(change.amount)} ${change.word}`);
    this.element.classList.toggle("is-other", change !== null);
  }
}

/** Breaks no line within a figure. */
const whole = (text) => text.replaceAll(" ", "\u00a0");
