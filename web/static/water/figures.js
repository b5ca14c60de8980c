/** The figures of stands, lifts and reservoirs, as `preview/account` draws them: see the figures of loads
 * there. `isTold` says whether there is anything to tell of one. */

import { lengthRound } from "/static/words/lengths.js";
import { daysText, litreText, mlText, rangeWords, shareText, twoFigures } from "/static/water/amounts.js";
import { AMOUNTS, GREW, NOTES, ROWS, SHRANK } from "/static/words/water.js";

const MINUTE_S = 60;
const DAY_MS = 86_400_000;
const ML_PER_MIN_A_L_PER_H = 1000 / 60;
const TOLD = 0.05; // less of mL or L is an error of the model, and nothing to a plant

const figure = (key, rest) => ({
  key,
  label: (one) => ROWS[key](one),
  word: (hasGrown) => (hasGrown ? GREW : SHRANK)[key],
  note: () => "",
  ...rest,
});

/** A figure that is a range: `of` one gives it, or null. */
const ranged = (key, of, text, rest = {}) => figure(key, {
  value: (one) => of(one)?.likely ?? null,
  text,
  note: (one) => (of(one) === null ? "" : rangeWords(of(one), text)),
  ...rest,
});

/** Something that is hoped to be nothing, and told where it may be something. */
const lacking = (key, of, text) => figure(key, {
  value: (one) => (of(one).likely > TOLD ? of(one).likely : 0),
  text: (amount) => (amount > 0 ? text(amount) : AMOUNTS.nothing),
  isTold: (one) => of(one).high > TOLD,
  note: (one) => (of(one).high > Math.max(TOLD, of(one).likely) ? NOTES.worst(text(of(one).high)) : ""),
});

const belowText = (seconds) => {
  if (seconds <= 0) return AMOUNTS.never;
  return seconds < MINUTE_S ? AMOUNTS.under(lengthRound(MINUTE_S)) : lengthRound(seconds);
};

/** Of a stand through so many days; `moment` writes an instant. */
export const standFigures = (moment, days = 1) => [
  ranged("driest", (one) => one.driest_share, shareText, {
    more: (share) => AMOUNTS.points(twoFigures(Math.max(1, Math.round(100 * share)))),
    note: (one) => (one.driest_share === null
      ? AMOUNTS.nothingGrows
      : NOTES.driest(moment(Date.parse(one.driest_utc)), rangeWords(one.driest_share, shareText))),
  }),
  figure("below", {
    value: (one) => (one.driest_share === null ? null : one.below_reserve_s.likely),
    text: belowText,
    label: ({ reserve }) => ROWS.below({ reserve: shareText(reserve).replace(" ", "\u00a0") }),
    note: ({ below_reserve_s: { likely, high } }) =>
      (belowText(likely) === belowText(high) ? "" : NOTES.worst(belowText(high))),
  }),
  ranged("drinks", ({ transpired_ml: { low, likely, high } }) => ({ low: low / days, likely: likely / days, high: high / days }), mlText, {
    label: (one) => (days > 1 ? ROWS.drinksADay(one) : ROWS.drinks(one)),
  }),
  lacking("thirst", (one) => one.thirst_ml, mlText),
];

/** Of a lift. */
export const LIFT_FIGURES = [
  ranged("flow", (one) => one.flow_l_per_h, (flow) => AMOUNTS.litresAnHour(twoFigures(flow))),
  ranged("each", (one) => one.flow_per_plant_l_per_h, (flow) => AMOUNTS.mlAMinute(twoFigures(flow * ML_PER_MIN_A_L_PER_H))),
];

const markOf = ({ top_up_at_l: mark }) => ({ mark: mark === null ? "" : litreText(mark) });

/** Of a reservoir, on days like one. */
export const RESERVOIR_DAY_FIGURES = [
  ranged("topUpAfter", (one) => one.top_up_after_days ?? null, daysText, { label: (one) => ROWS.topUpAfter(markOf(one)) }),
  ranged("dryAfter", (one) => one.dry_after_days ?? null, daysText),
];

const reached = (key, of, moment, rest = {}) => figure(key, {
  value: (one) => (of(one) === null ? null : of(one).likely === null ? Infinity : Date.parse(of(one).likely)),
  text: (ms) => (ms === Infinity ? AMOUNTS.notInThisRun : moment(ms)),
  more: (ms) => (ms === Infinity ? "" : daysText(ms / DAY_MS)),
  note: (one) => (of(one)?.earliest ? NOTES.earliest(moment(Date.parse(of(one).earliest))) : ""),
  ...rest,
});

/** Of a reservoir through a run that began with it full; `moment` writes an instant. */
export const reservoirFigures = (moment) => [
  ranged("end", (one) => one.end_l, litreText),
  reached("topUpAt", (one) => one.top_up_utc, moment, { label: (one) => ROWS.topUpAt(markOf(one)) }),
  reached("dryAt", (one) => one.dry_utc, moment),
  lacking("unmet", (one) => one.unmet_l, litreText),
];
