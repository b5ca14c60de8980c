/** Amounts of water as a reader meets them: no more digits than models know. Rounding happens here. */

import { numberRound } from "/static/numbers.js";
import { AMOUNTS, NOTES } from "/static/words/water.js";

/** `340`, `8.4`, `0.071`: two figures. */
export function twoFigures(value) {
  if (value === 0) return "0";
  const rounded = Number(value.toPrecision(2));
  return numberRound(rounded, Math.max(0, 1 - Math.floor(Math.log10(Math.abs(rounded)))));
}

/** `41 %`: a share without decimals. */
export const shareText = (share) => AMOUNTS.percent(numberRound(100 * share, 0));

/** `18 to 63 %`, or nothing where both read as the likely value does. `text` writes one value: a number,
 * a space and its unit. */
export function rangeWords({ low, likely, high }, text) {
  const [least, most] = [text(low), text(high)];
  const [number] = least.split(/\s/);
  return least === most && least === text(likely) ? "" : NOTES.range(number, most);
}

const tenths = new Intl.NumberFormat(undefined, { minimumFractionDigits: 1, maximumFractionDigits: 1 });

/** `1.0 mS/cm`. */
export const strengthText = (ec) => AMOUNTS.strength(tenths.format(ec));

/** `150 mL`. */
export const mlText = (ml) => AMOUNTS.ml(twoFigures(ml));

/** `53 L`. */
export const litreText = (litres) => AMOUNTS.litres(twoFigures(litres));

/** `5.8 days`. */
export const daysText = (days) => AMOUNTS.days(twoFigures(days));
