/** What a preview says beside the plan in force. */

import { changeOf, extentOf, pairOf } from "/static/preview/change.js";
import { FIGURES } from "/static/preview/figures.js";
import { dayInSentence } from "/static/preview/day_words.js";
import { SUMMARY } from "/static/words/preview.js";

const TOLD = new Set(["gap", "starts", "on"]); // what a summary has room for
const MAIN = new Set(["next", "hottest"]);

/** The same date by the plan in force, or null. */
export const dayBefore = (preview, day) =>
  preview.running?.days.find(({ date }) => date === day.date) ?? null;

/** The days whose figures stand at the top. */
export const mainDays = (preview) => preview.days.filter(({ part }) => MAIN.has(part));

/** The names of the loads that do other things on a day, or come or go, with the draft. */
export function changedNames(day, before) {
  if (before === null) return [];
  const known = new Set(day.loads.map(({ name }) => name));
  const gone = before.loads.filter(({ name }) => !known.has(name));
  return [...day.loads.filter(({ changed }) => changed), ...gone].map(({ name }) => name);
}

/** The stated limits that a day on paper breaks. */
export const brokenLimits = (day) => day.findings.filter(({ level }) => level === "error");

/** What changes, as one or two sentences. */
export function changeWords(preview, price) {
  if (preview.running === null) return SUMMARY.noRunning;
  const changes = preview.days.map((day) => ({ day, names: changedNames(day, dayBefore(preview, day)) }));
  const changed = changes.filter(({ names }) => names.length);
  if (!changed.length) return SUMMARY.nothing;
  const main = changed.find(({ day }) => MAIN.has(day.part));
  if (main === undefined) {
    return SUMMARY.nothingOn(mainDays(preview).map(dayInSentence).join(", "), changed.length);
  }
  const { day, names } = main;
  const pairs = names.map((name) => pairOf(name, dayBefore(preview, day), day));
  const clear = pairs.filter((pair) => extentOf([pair], price) === "clear");
  const told = clear.length ? clear : pairs;
  const parts = [SUMMARY.onDay(dayInSentence(day), loadWords(told[0], price))];
  if (told.length > 1) parts.push(`${SUMMARY.more(told.length - 1)}.`);
  return parts.join(" ");
}

function loadWords(pair, price) {
  const { before, after } = pair;
  const { name, kind } = after ?? before;
  if (before === null) return SUMMARY.loadIsNew(name);
  if (after === null) return SUMMARY.loadIsGone(name);
  const told = FIGURES.filter(({ key }) => TOLD.has(key))
    .map((figure) => ({ key: figure.key, change: changeOf(figure, pair, price) }))
    .filter(({ change }) => change?.amount && !change.isSlight);
  if (!told.length) return SUMMARY.loadIsOther(name);
  return SUMMARY.load(name, told.map(({ key, change }) => SUMMARY.phrases[key](kind, change.amount, change.word)));
}
