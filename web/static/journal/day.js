/** What a day of the week shows of one load, from afar and closer. */

import { layOver } from "/static/strip.js";
import { WORDS } from "/static/words/journal.js";
import { lengthRound } from "/static/words/lengths.js";

const AWAY_LEAST_S = 60; // a restart takes less

/** When no controller ran, for longer than a restart takes. */
export const awayLong = (day) => day.away.filter(([from, to]) => to - from >= AWAY_LEAST_S);

/** How long a load was on that day, in words. */
export const onWords = (load) => (load.on_s ? WORDS.onInAll(lengthRound(load.on_s)) : WORDS.notOn);

/** Lays over a day's strip what is not known, long gaps and, where it is shown closer, when the plan
 * wanted otherwise; words beside it tell the same. */
export function overlay(home, day, load, week, seconds, { isClose = false } = {}) {
  const begin = Date.parse(day.from_utc);
  const after = (utc) => (Date.parse(utc) - begin) / 1000;
  const place = (className, from, to) => layOver(home, className, [from, to], seconds);
  if (week.known_from_utc) place("is-unknown", 0, after(week.known_from_utc));
  for (const [from, to] of awayLong(day)) place("is-unknown", from, to);
  place("is-to-come", after(week.until_utc), seconds);
  for (const gap of load.long_gaps) place("is-long-gap", after(gap.from_utc), after(gap.to_utc));
  if (!isClose) return;
  for (const one of load.differs) place(`is-ordered-${one.ordered}`, one.from_s, one.to_s);
}
