/** Outcomes that this browser keeps, so that back and reload show them without another run. */

import { keep, kept } from "/static/dry_run/kept.js";

const KEPT_MAX = 3;
const LIST = "outcomes";

/** Keeps an outcome; its number finds it again. */
export async function keepOutcome(outcome) {
  const number = Date.now();
  const numbers = [...((await kept(LIST)) ?? []), number];
  for (const old of numbers.splice(0, Math.max(0, numbers.length - KEPT_MAX))) await keep(`outcome-${old}`, null);
  await keep(`outcome-${number}`, outcome);
  await keep(LIST, numbers);
  return number;
}

/** The outcome of that number, or null where it is kept no longer. */
export const keptOutcome = (number) => kept(`outcome-${number}`);

/** Forgets all of them: whoever looks next may have no right to them. */
export async function forgetOutcomes() {
  for (const number of (await kept(LIST)) ?? []) await keep(`outcome-${number}`, null);
  await keep(LIST, null);
}
