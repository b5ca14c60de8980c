/** From when, and for how long. */

import { make } from "/static/dom.js";
import { DAYS_MAX, daysIn } from "/static/dry_run/address.js";
import { dateWords, daysAfter, isDate } from "/static/dry_run/dates.js";
import { Field, Ways, input } from "/static/dry_run/fields.js";
import { LENGTHS, WORDS } from "/static/words/dry-run.js";

export class PeriodField {
  /** `hear({from})` or `hear({days})` when one is chosen. */
  constructor(hear) {
    this.from = new Field(WORDS.from, input("date", (from) => hear({ from }), { required: true }));
    this.ways = new Ways(WORDS.length, LENGTHS.map(([days, text]) => [days, text]), (days) => hear({ days }));
    this.days = new Field(
      WORDS.days,
      input("text", (days) => hear({ days }), { inputMode: "numeric", maxLength: 6, className: "short" }),
    );
    this.told = make("p", "hint period-told");
    this.told.setAttribute("aria-live", "polite");
    this.element = make("div", "period", this.from.element, this.ways.element, this.days.element, this.told);
  }

  /** Draws what is chosen; true where it can be carried out. */
  draw({ from, days }) {
    if (this.from.control.value !== from) this.from.control.value = from;
    if (this.days.control.value !== days) this.days.control.value = days;
    this.ways.set(days);
    const count = daysIn(days);
    const last = isDate(from) && count !== null ? daysAfter(from, count - 1) : null;
    this.from.tell(isDate(from) ? "" : WORDS.noDate);
    this.days.tell(count === null ? WORDS.noDays(DAYS_MAX) : "");
    this.told.textContent = last === null ? "" : WORDS.period(dateWords(from), dateWords(last), count);
    return isDate(from) && count !== null;
  }
}
