/** The figures of a load's run, as a reader meets them: rounding happens here. */

import { numberRound } from "/static/numbers.js";
import { ACCOUNT, GREW, ROWS, SHRANK } from "/static/words/preview.js";

const MINUTE_S = 60;
const HOUR_S = 3_600;
const DAY_S = 86_400;

/** A length to its two leading units: `40 s`, `15 min 30 s`, `2 h 5 min`, `3 days 4 h`; rounded as
 * the command line does. */
export function lengthFine(seconds) {
  if (seconds < MINUTE_S - 0.05) return `${numberRound(seconds, 1)}\u00a0s`;
  if (seconds < HOUR_S - 0.5) return twoUnits(seconds, [MINUTE_S, "min"], [1, "s"]);
  if (seconds < 2 * DAY_S - MINUTE_S / 2) return twoUnits(seconds, [HOUR_S, "h"], [MINUTE_S, "min"]);
  return twoUnits(seconds, [DAY_S, "days"], [HOUR_S, "h"]);
}

function twoUnits(seconds, [large, largeName], [small, smallName]) {
  const rounded = Math.floor((seconds + small / 2) / small) * small;
  const rest = (rounded % large) / small;
  const many = `${Math.floor(rounded / large)}\u00a0${largeName}`;
  return rest ? `${many} ${rest}\u00a0${smallName}` : many;
}

/** A number to three figures, whole above a hundred. */
export const amountFine = (amount) => numberRound(amount, digitsOf(amount));

function digitsOf(amount) {
  if (amount === 0) return 0;
  return Math.max(0, Math.min(6, 2 - Math.floor(Math.log10(Math.abs(amount)))));
}

const SMALL = 0.0995; // from here on, cents are two figures

/** An amount of money, less than some cents to two figures; a currency that the browser does not know is
 * written behind. */
export function money(amount, currency) {
  const digits = amount > 0 && amount < SMALL ? { maximumSignificantDigits: 2 } : {};
  try {
    return new Intl.NumberFormat(undefined, { style: "currency", currency, ...digits }).format(amount);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return `${new Intl.NumberFormat(undefined, { maximumFractionDigits: 2, ...digits }).format(amount)}\u00a0${currency}`;
  }
}

/** The figures of one load, in the order in which they matter to roots: `label` of the row; `value` of
 * its account, null where it is not told; `text` of a value; `more`, where given, of a difference between
 * values of a size, which is no finer than they are; `word` of a difference. Figures of other things may
 * have a `note` that stands beside the value, of that run and the one before it, and `isTold` where a value alone does not say so. */
export const FIGURES = [
  { key: "gap", value: (load) => load.longest_dry_gap_s, text: lengthFine },
  { key: "starts", value: (load) => load.starts, text: (count) => numberRound(count, 0) },
  { key: "on", value: (load) => load.on_s, text: lengthFine },
  { key: "longest", value: (load) => load.longest_on_s, text: lengthFine },
  { key: "energy", value: (load) => load.energy_kwh, text: (kwh) => ACCOUNT.kwh(amountFine(kwh)), more: kwhMore },
  { key: "cost", value: costOf, text: (cost, { currency }) => money(cost, currency) },
].map((figure) => ({
  ...figure,
  label: ({ kind }) => ROWS[figure.key](kind),
  word: (hasGrown) => (hasGrown ? GREW : SHRANK)[figure.key],
}));

function kwhMore(kwh, size) {
  return ACCOUNT.kwh(numberRound(kwh, digitsOf(size)));
}

/** Where one price is given, at that for all runs, so that a cost changes by what is used; else what the
 * program has added up, by each plan's own prices. */
function costOf(load, price) {
  if (price === null || load.energy_kwh === null) return null;
  return price.perKwh === null ? load.cost ?? null : load.energy_kwh * price.perKwh;
}
