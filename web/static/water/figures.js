/** The figures of stands, lifts and reservoirs, as `preview/account` draws them: `value` of one, null
 * where it is not told; `text` of a value; `label` of its row; `note`, what stands beside it; `more`,
 * of a difference; `word` of one that grew, or not. */

import { lengthRound } from "/static/words/lengths.js";
import { daysText, litreText, mlText, rangeWords, shareText, twoFigures } from "/static/water/amounts.js";
import { AMOUNTS, GREW, NOTES, ROWS, SHRANK } from "/static/words/water.js";

const MINUTE_S = 60;
const DAY_MS = 86_400_000;
const ML_PER_MIN_A_L_PER_H = 1000 / 60;
const TOLD_ML = 0.05; // less thirst is an error of the model, and none to a plant

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

const belowText = (seconds) => {
  if (seconds <= 0) return AMOUNTS.never;
  return seconds < MINUTE_S ? AMOUNTS.under(lengthRound(MINUTE_S)) : lengthRound(seconds);
};

/** Of a stand through so many days; `moment` writes an instant. */
export const standFigures = (moment, days = 1) => [
  ranged("driest", (one) => one.driest_share, shareText, {
    more: (share) => AMOUNTS.points(twoFigures(Math.round(100 * share))),
    note: (one) => (one.driest_share === null
      ? AMOUNTS.nothingGrows
      : NOTES.driest(moment(Date.parse(one.driest_utc)), rangeWords(one.driest_share, shareText))),
  }),
  figure("below", {
    value: (one) => (one.driest_share === null ? null : one.below_reserve_s.likely),
    text: belowText,
    label: ({ reserve }) => ROWS.below({ reserve: shareText(reserve) }),
    note: ({ below_reserve_s: { likely, high } }) =>
      (belowText(likely) === belowText(high) ? "" : NOTES.worst(belowText(high))),
  }),
  ranged("drinks", ({ transpired_ml: { low, likely, high } }) => ({ low: low / days, likely: likely / days, high: high / days }), mlText, {
    label: (one) => (days > 1 ? ROWS.drinksADay(one) : ROWS.drinks(one)),
  }),
  ranged("thirst", ({ thirst_ml: thirst }) => (thirst.high > TOLD_ML ? thirst : null), mlText),
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
  ranged("unmet", ({ unmet_l: unmet }) => (unmet.high > TOLD_ML ? unmet : null), litreText),
];
