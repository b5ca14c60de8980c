/** What a preview says beside the plan in force. */

import { changeOf, extentOf, pairOf } from "/static/preview/change.js";
import { FIGURES } from "/static/preview/figures.js";
import { dayInSentence } from "/static/preview/day_words.js";
import { numberRound } from "/static/numbers.js";
import { SUMMARY } from "/static/words/preview.js";

const TOLD = new Set(["gap", "starts", "on"]); // what a summary has room for
const MAIN = new Set(["next", "hottest"]);

/** The same date by the plan in force, or null. */
export const dayBefore = (preview, day) =>
  preview.running?.days.find(({ date }) => date === day.date) ?? null;

/** Whether what both plans cost can be compared, so far as both tell of prices. */
export const isOneCurrency = ({ days, running }) =>
  new Set([...days, ...(running?.days ?? [])].map(({ currency }) => currency).filter(Boolean)).size < 2;

/** The days whose figures stand at the top. */
export const mainDays = (preview) => preview.days.filter(({ part }) => MAIN.has(part));

/** The names of the loads that do other things on a day, or come or go, with the draft. */
export function changedNames(day, before) {
  if (before === null) return [];
  const known = new Set(day.loads.map(({ name }) => name));
  const gone = before.loads.filter(({ name }) => !known.has(name));
  return [...day.loads.filter(({ changed }) => changed), ...gone].map(({ name }) => name);
}

/** The stands whose driest moment differs to a reader with the draft: {name, before, after}, each a
 * share as text. */
export function driestChanges(day, before) {
  const known = before?.water?.stands ?? {};
  return Object.entries(day.water?.stands ?? {})
    .filter(([name]) => name in known)
    .map(([name, stand]) => ({ name, before: driestText(known[name]), after: driestText(stand) }))
    .filter((one) => one.before !== one.after);
}

const driestText = ({ driest_share: share }) =>
  (share === null ? SUMMARY.notGrown : SUMMARY.share(numberRound(100 * share.likely, 0)));

/** Whether loads or roots do otherwise on a day with the draft. */
export const isOther = (day, before) =>
  changedNames(day, before).length > 0 || driestChanges(day, before).length > 0;

/** The stated limits that a day on paper breaks. */
export const brokenLimits = (day) => day.findings.filter(({ level }) => level === "error");

/** What changes, as one or two sentences; of roots first: a phone has room for little more. */
export function changeWords(preview, price) {
  if (preview.running === null) return SUMMARY.noRunning;
  const changed = preview.days.filter((day) => isOther(day, dayBefore(preview, day)));
  if (!changed.length) return SUMMARY.nothing;
  const main = changed.filter(({ part }) => MAIN.has(part));
  if (!main.length) {
    return SUMMARY.nothingOn(mainDays(preview).map(dayInSentence).join(", "), changed.length);
  }
  return [...rootsWords(preview, main), ...loadsWords(preview, main, price)].join(" ");
}

/** What loads do otherwise, on the first of the days on which any does. */
function loadsWords(preview, days, price) {
  const day = days.find((one) => changedNames(one, dayBefore(preview, one)).length);
  if (day === undefined) return [];
  const names = changedNames(day, dayBefore(preview, day));
  const pairs = names.map((name) => pairOf(name, dayBefore(preview, day), day));
  const clear = pairs.filter((pair) => extentOf([pair], price) === "clear");
  const told = clear.length ? clear : pairs;
  const parts = [SUMMARY.onDay(dayInSentence(day), loadWords(told[0], price))];
  if (told.length > 1) parts.push(`${SUMMARY.more(told.length - 1)}.`);
  return parts;
}

/** What roots have left otherwise, on the last of the days: the hottest, where it is told. */
function rootsWords(preview, days) {
  const told = days.map((day) => ({ day, stands: driestChanges(day, dayBefore(preview, day)) })).filter(({ stands }) => stands.length);
  if (!told.length) return [];
  const { day, stands } = told.at(-1);
  return [SUMMARY.driest(dayInSentence(day), stands.map(({ name, before, after }) => SUMMARY.standDriest(name, before, after)))];
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
