/** What became of a load's figures from one run to another. */

import { FIGURES } from "/static/preview/figures.js";
import { ACCOUNT } from "/static/words/preview.js";

const NOT_SUBTRACTED = { sign: "", amount: "", word: "", isSlight: false };

/** A load in both runs, or whatever stands in their lists: {before, after, isAlone}. `before` or `after`
 * is null where that plan has no such load; `isAlone` where there is but one run, `first`, whose account is then `after`. */
export function pairOf(name, first, second) {
  const found = (run) => run.loads.find((load) => load.name === name) ?? null;
  if (second === null) return { before: null, after: found(first), isAlone: true };
  return { before: found(first), after: found(second), isAlone: false };
}

const SLIGHT_SHARE = 0.01;

/** How a figure went: {sign, amount, word, isSlight}, such as +, `5 min`, `longer`; the texts are empty
 * where there is nothing to subtract; null where a reader would see no difference. */
export function changeOf(figure, { before, after, isAlone }, price) {
  if (isAlone || (before === null && after === null)) return null;
  if (before === null || after === null) return NOT_SUBTRACTED;
  const [one, other] = [figure.value(before, price), figure.value(after, price)];
  if (one === other || textOf(figure, one, price) === textOf(figure, other, price)) return null;
  if (one === null || other === null) return NOT_SUBTRACTED;
  const hasGrown = other > one;
  return {
    sign: hasGrown ? "+" : "−",
    amount: amountOf(figure, one, other, price),
    word: figure.word(hasGrown),
    isSlight: Math.abs(other - one) < SLIGHT_SHARE * Math.max(one, other),
  };
}

function amountOf(figure, one, other, price) {
  const difference = Math.abs(other - one);
  return figure.more ? figure.more(difference, Math.max(one, other)) : figure.text(difference, price);
}

/** How far the figures of a load went in these pairs: "none" that a reader would see, "slight" (each
 * by less than a hundredth) or "clear". */
export function extentOf(pairs, price, figures = FIGURES) {
  const changes = pairs.flatMap((pair) => figures.map((figure) => changeOf(figure, pair, price))).filter(Boolean);
  if (!changes.length) return "none";
  return changes.every(({ isSlight }) => isSlight) ? "slight" : "clear";
}

/** A figure's value as text. */
export const textOf = (figure, value, price) =>
  (value === null ? ACCOUNT.notTold : figure.text(value, price));
