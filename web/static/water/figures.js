/** The figures of stands, lifts and reservoirs, as `preview/account` draws them: see the figures of loads
 * there. `isTold` says whether there is anything to tell of one. */

import { numberRound } from "/static/numbers.js";
import { daysText, litreText, mlText, rangeWords, shareText, strengthText, twoFigures } from "/static/water/amounts.js";
import { lengthRound } from "/static/words/lengths.js";
import { AMOUNTS, GREW, NOTES, ROWS, SHRANK } from "/static/words/water.js";

const MINUTE_S = 60;
const DAY_MS = 86_400_000;
const ML_PER_MIN_A_L_PER_H = 1000 / 60;
const PPM_STEP = 50;
const TOLD = 0.05; // less of mL or L is an error of the model, and nothing to a plant

const figure = (key, rest) => ({
  key,
  label: (one) => ROWS[key](one),
  word: (hasGrown) => (hasGrown ? GREW : SHRANK)[key],
  note: () => "",
  ...rest,
});

/** Words of one run, or those of two where they differ: what is likely may stay while the range goes. */
const ofBoth = (words, one, before) => {
  const [now, then] = [words(one), before ? words(before) : ""];
  return now && then && now !== then ? NOTES.instead(now, then) : now;
};

/** A difference as a reader reckons it: of the two figures as they are told. */
const ofTold = (round, text) => (difference, size) => text(round(size) - round(size - difference));
const toTwo = (value) => Number(value.toPrecision(2));
const toTenth = (value) => Math.round(10 * value) / 10;
const toPercent = (share) => Math.round(100 * share);

/** A figure that is a range: `of` one gives it, or null. */
const ranged = (key, of, text, rest = {}) => figure(key, {
  value: (one) => of(one)?.likely ?? null,
  text,
  more: ofTold(toTwo, text),
  note: (one, before) => ofBoth(rangeOf(of, text), one, before),
  ...rest,
});

const rangeOf = (of, text) => (one) => (of(one) === null ? "" : rangeWords(of(one), text));

/** Something that is hoped to be nothing, and told where it may be something. */
const lacking = (key, of, text) => figure(key, {
  value: (one) => (of(one).likely > TOLD ? of(one).likely : 0),
  text: (amount) => (amount > 0 ? text(amount) : AMOUNTS.nothing),
  isTold: (one) => of(one).high > TOLD,
  note: (one, before) => worstOf((run) => (of(run).high > Math.max(TOLD, of(run).likely) ? text(of(run).high) : ""), one, before),
});

const worstOf = (words, one, before) => {
  const told = ofBoth(words, one, before);
  return told && NOTES.worst(told);
};

const belowText = (seconds) => {
  if (seconds <= 0) return AMOUNTS.never;
  return seconds < MINUTE_S ? AMOUNTS.under(lengthRound(MINUTE_S)) : lengthRound(seconds);
};

/** Of a stand through so many days; `moment` writes an instant. */
export const standFigures = (moment, days = 1) => [
  ranged("driest", (one) => one.driest_share, shareText, {
    more: ofTold(toPercent, (points) => AMOUNTS.points(numberRound(points, 0))),
    note: (one, before) => (one.driest_share === null
      ? AMOUNTS.nothingGrows
      : NOTES.driest(ofBoth(rangeOf(({ driest_share: share }) => share, shareText), one, before), moment(Date.parse(one.driest_utc)))),
  }),
  figure("below", {
    value: (one) => (one.driest_share === null ? null : one.below_reserve_s.likely),
    text: belowText,
    label: ({ reserve }) => ROWS.below({ reserve: shareText(reserve).replace(" ", "\u00a0") }),
    note: (one, before) => worstOf(
      ({ below_reserve_s: { likely, high } }) => (belowText(likely) === belowText(high) ? "" : belowText(high)), one, before,
    ),
  }),
  ranged("drinks", ({ transpired_ml: { low, likely, high } }) => ({ low: low / days, likely: likely / days, high: high / days }), mlText, {
    label: (one) => (days > 1 ? ROWS.drinksADay(one) : ROWS.drinks(one)),
  }),
  lacking("thirst", (one) => one.thirst_ml, mlText),
];

const mlAMinuteOf = ({ flow_per_plant_l_per_h: flow }) => flow && {
  low: flow.low * ML_PER_MIN_A_L_PER_H, likely: flow.likely * ML_PER_MIN_A_L_PER_H, high: flow.high * ML_PER_MIN_A_L_PER_H,
};

/** Of a lift. */
export const LIFT_FIGURES = [
  ranged("flow", (one) => one.flow_l_per_h, (flow) => AMOUNTS.litresAnHour(twoFigures(flow))),
  ranged("each", mlAMinuteOf, (flow) => AMOUNTS.mlAMinute(twoFigures(flow))),
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

/** What a meter of the plan's scale shows, to no more than models know. */
const ppmText = (ec, scale) => numberRound(Math.round((ec * scale) / PPM_STEP) * PPM_STEP, 0);

const strengthOf = ({ end_ec_ms_per_cm: strength }) => strength ?? null;

/** Of a reservoir through a run that began with it full; `moment` writes an instant. */
export const reservoirFigures = (moment) => [
  ranged("end", (one) => one.end_l, litreText),
  ranged("strength", strengthOf, strengthText, {
    more: ofTold(toTenth, strengthText),
    note: (one, before) => {
      const range = ofBoth(rangeOf(strengthOf, strengthText), one, before);
      const { ppm_scale: scale } = one;
      return scale && strengthOf(one) !== null ? NOTES.ppm(range, ppmText(strengthOf(one).likely, scale), scale) : range;
    },
  }),
  reached("topUpAt", (one) => one.top_up_utc, moment, { label: (one) => ROWS.topUpAt(markOf(one)) }),
  reached("dryAt", (one) => one.dry_utc, moment),
  lacking("unmet", (one) => one.unmet_l, litreText),
];
