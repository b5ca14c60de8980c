/** The words of the view Journal. What the controller tells (reasons, alarms, what a person did)
 * comes from it in words and stands in no catalogue. */

import { numberRound } from "/static/numbers.js";
import { plural } from "/static/words/counts.js";
import { lengthRound } from "/static/words/lengths.js";
import { capital } from "/static/words/sentences.js";

/** Names of parts that stand in the markup. */
export const NAMES = {
  title: "Journal",
  week: "The last seven days",
  weekLoads: "Which load",
  why: "Why did it not water?",
  whyLoad: "Load",
  whyDate: "Day",
  whyTime: "Time",
  whyAsk: "Find out",
  relays: "Relays and lateness",
  entries: "Entries",
  filters: "Which entries",
  filterLoad: "Load or sensor",
  filterFind: "With the text",
  filterKinds: "Kinds of entry",
  filterTimes: "From when until when",
  filterSince: "From",
  filterUntil: "Until",
};

/** What is on once, and often; and the time between: by the kind of load. */
const TURNS = {
  pump: ["watering", "waterings", "dry gap"],
  valve: ["opening", "openings", "time closed"],
  lamp: ["time lit", "times lit", "time dark"],
  fan: ["run", "runs", "time still"],
  heater: ["heating", "heatings", "time cold"],
};
const OTHERWISE = ["time on", "times on", "time off"];
const turns = (kind) => TURNS[kind] ?? OTHERWISE;

export const WORDS = {
  // The week
  turnsName: (kind, count) => turns(kind)[count === 1 ? 0 : 1],
  onInAll: (length) => `${length} on`,
  notOn: "not on",
  notKnown: "not known",
  longestGap: (kind, length) => `longest ${turns(kind)[2]} ${length}`,
  longGap: (kind, length) => `${turns(kind)[2]} of ${length}, longer than usual`,
  longGapAt: (kind, from, to, length) =>
    `${from} to ${to}: ${turns(kind)[2]} of ${length}, longer than usual`,
  longGapOpen: (kind, from, length) =>
    `Since ${from}: ${turns(kind)[2]} of ${length} so far, longer than usual`,
  alarms: (count) => plural(count, "alarm", "alarms"),
  away: "no controller ran",
  awayAt: (from, to) => `${from} to ${to}: no controller ran, as far as the journal tells`,
  today: "today",
  usual: (kind, length) =>
    `A ${turns(kind)[2]} counts as longer than usual from ${length} on: half as long again as nine of ten.`,
  beginsAt: (at) => `The journal begins at ${at}; the hatched time before it is not known.`,
  partly: "There were too many switchings to show all; the earliest are left out.",
  weekFailed: (why) => `The week cannot be shown: ${why}`,
  dayFailed: (why) => `The day cannot be shown closer: ${why}`,
  noLoads: "The plan has no load, and the journal knows none.",
  differs: (from, to, { ordered, why, count }) =>
    `${from} to ${to}: the plan wanted it ${ordered}${count > 1 ? ` ${count} times` : ""}${why ? `, decided by: ${why}` : ""}`,
  legend:
    "Filled: on. Hatched: not known. Framed: a gap longer than usual. Dashed frame: the plan wanted it on. Line at the foot: the plan wanted it off.",
  dayNothing: "Nothing out of the ordinary.",
  dayUnusual: "Out of the ordinary",
  dayEntries: "Show all entries of this day",
  dayName: (day) => `${day}, closer`,

  // Why
  whyNone: (load) => `The journal does not reach back so far for ${load}, or does not know it.`,
  whyFailed: (why) => `That cannot be told: ${why}`,
  whyWaiting: "Looking it up…",
  whySwitching: "What made it so",
  whyNotices: "What was noted from then on",
  whyStood: "What stood at that time",
  whyNothingStood: "No alarm, hold or stop stood at that time.",
  whyNext: "What came next",
  whyNoNext: "Nothing yet.",
  sentence: (text) => `${text}.`,

  // Relays
  operations: (count, life) => `${count} of ${life} rated operations`,
  operationsAlone: (count) => plural(count, "operation", "operations"),
  since: (day) => `counted since ${day}`,
  share: (percent) => `${percent} used`,
  shareLittle: "less than 0.1\u00a0% used",
  left: (aDay, length) => `At ${aDay} a day lately, the rest lasts ${length}.`,
  leftUnknown: "How long the rest lasts can be told once it ran for a whole day.",
  leftForEver: (aDay) => `At ${aDay} a day lately, it outlasts all of us.`,
  usedUp: "The rated life is used up: have a new relay put in before it sticks.",
  gone: "Not in the plan any more.",
  operationHint: "One operation is on and off. How many a relay is rated for stands in the plan.",
  relaysFailed: (why) => `The relays' wear cannot be shown: ${why}`,
  lateTitle: "Lateness of switchings",
  lateSince: "Since the start",
  lateWeek: "Last seven days",
  lateNone: "none yet",
  late: (p50, p99, worst) => `half within ${p50}, 99 of 100 within ${p99}, the latest ${worst} late`,

  // Entries
  allLoads: "All",
  kinds: {
    switched: "Switchings",
    alarms: "Alarms",
    holds: "By hand",
    plan: "Plan",
    variants: "Variants",
    clock: "Clock",
    starts: "Starts and ends",
  },
  clear: "Clear the filters",
  save: "Save these as",
  csv: "CSV",
  jsonl: "JSON lines",
  told: (count, hasMore) =>
    hasMore ? `The newest ${numberRound(count, 0)} of these entries, newest first.` : `${plural(count, "entry", "entries")}, newest first.`,
  none: "No entry is like that.",
  waiting: "Reading the journal…",
  news: (count) => `Show ${plural(count, "new entry", "new entries")}`,
  newsTold: (count) => `${plural(count, "new entry", "new entries")} came in.`,
  more: "Show earlier entries",
  moreFailed: (why) => `The journal cannot be read: ${why}`,
  again: "Try again",
  late1: (length) => `${length} late`,
  untrusted: "the clock was not trusted then",
  because: (why) => `because: ${why}`,
  what: capital,
};

const YEAR_S = 31_556_952;

/** A long time, roughly: `about 6 years`, `about 5 months`, `about 12 days`. */
export function about(seconds) {
  const years = seconds / YEAR_S;
  if (years >= 1.95) return `about ${numberRound(years, 0)}\u00a0years`;
  const months = Math.round(years * 12);
  if (months >= 2) return `about ${months} months`;
  const days = Math.round(seconds / 86_400);
  return days <= 1 ? "about a day" : `about ${days}\u00a0days`;
}

/** How late a switching was: milliseconds, then a length. */
export const lateLength = (ms, round) =>
  ms < 1_000 ? `${round(ms)}\u00a0ms` : ms < 60_000 ? `${round(ms / 1_000)}\u00a0s` : lengthRound(ms / 1_000);
