/** Loads in one table: a row each and a column for each figure, or the other way for a few loads. */

import { make } from "/static/dom.js";
import { momentWords } from "/static/dry_run/dates.js";
import { numberRound } from "/static/numbers.js";
import { FIGURES, lengthFine } from "/static/preview/figures.js";
import { COLUMNS, RESULT } from "/static/words/dry-run-result.js";

const LONG = 20; // letters of a head that would else stand word below word
const TURNED_MAX = 3; // loads that stand side by side on a phone
const moment = (text, zone) => (text === null ? RESULT.never : momentWords(Date.parse(text), zone));

/** When the longest of each load began, and what its relay takes. */
const DETAILS = [
  ["gapFrom", (load, zone) => moment(load.longest_dry_gap_from_utc, zone)],
  ["longestFrom", (load, zone) => moment(load.longest_on_from_utc, zone)],
  ["startsADay", (load) => numberRound(load.most_starts_a_day, 0)],
  ["onADay", (load) => lengthFine(load.most_on_a_day_s)],
  ["switches", (load) => numberRound(load.switches, 0)],
  ["contact", (load) => RESULT.percent(numberRound(100 * load.contact_share_a_year, 1))],
];

/** The figures of loads by name as a table that scrolls by itself, called `title`: with a zone, when
 * and what the relay takes; without one, the figures of the account (and the cost, where a price is
 * known). */
export function figuresOf(loads, title, { zone = null, price = null }) {
  const figures = zone === null ? accountColumns(price) : DETAILS;
  const named = Object.entries(loads);
  const cell = ([name, load], [key, text]) => {
    const element = make("td", "", text(load, zone));
    Object.assign(element.dataset, { load: name, figure: key });
    return element;
  };
  const isTurned = named.length <= TURNED_MAX;
  const table = isTurned
    ? tableOf(named.map(([name]) => name), figures, ([key]) => COLUMNS[key], (figure) => named.map((load) => cell(load, figure)))
    : tableOf(figures.map(([key]) => COLUMNS[key]), named, ([name]) => name, (load) => figures.map((figure) => cell(load, figure)));
  table.classList.toggle("is-turned", isTurned);
  const region = make("div", "scrolls", table);
  region.tabIndex = 0; // so that arrow keys scroll it
  region.setAttribute("role", "region");
  region.setAttribute("aria-label", title);
  return region;
}

function tableOf(heads, rows, nameOf, cellsOf) {
  const head = make("tr", "", headCell("", "col"), ...heads.map((text) => headCell(text, "col")));
  const body = rows.map((row) => make("tr", "", headCell(nameOf(row), "row"), ...cellsOf(row)));
  return make("table", "figures", make("thead", "", head), make("tbody", "", ...body));
}

function accountColumns(price) {
  const shown = FIGURES.filter(({ key }) => key !== "cost" || price !== null);
  return shown.map(({ key, value, text }) => [key, (load) => {
    const found = value(load, price);
    return found === null ? RESULT.notTold : text(found, price);
  }]);
}

function headCell(text, scope) {
  const cell = make("th", "", text || make("span", "unseen", COLUMNS.load));
  cell.scope = scope;
  cell.classList.toggle("is-long", text.length > LONG);
  return cell;
}
