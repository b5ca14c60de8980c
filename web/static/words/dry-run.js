/** The words of the view Dry run: the form and the run. What came of one has a file of its own. */

import { numberRound } from "/static/numbers.js";
import { plural } from "/static/words/counts.js";

/** `1.4 kB`, `262 kB`, `1.5 MB`. */
export function sizeOf(bytes) {
  if (bytes >= 1e6) return `${numberRound(bytes / 1e6, 1)}\u00a0MB`;
  return `${numberRound(Math.max(100, bytes) / 1e3, bytes < 1e4 ? 1 : 0)}\u00a0kB`;
}

/** Names of parts that stand in the markup. */
export const NAMES = {
  title: "Dry run",
  about: "Try a plan on paper: any days, any weather, any trouble. Nothing real is switched.",
  choose: "What to run",
  guest: "You may look, but not run plans: log in below with the passcode.",
  older: "Something was chosen anew since: run again to see what comes of it.",
};

export const WORDS = {
  title: "Dry run",
  empty: "Choose a plan and the days, then run it. What would go wrong stands here first, then how long roots would stay dry, how often it would water, and a picture of each day.",

  // Parts of the form
  partPlan: "Plan",
  partDays: "Days",
  partWeather: "Weather",
  partFaults: "What goes wrong",

  // Plans
  plan: "Run this plan",
  compare: "Beside it",
  planNone: "no other plan",
  planRunningAny: "the plan in force",
  planRunning: (revision) => `the plan in force (revision ${revision})`,
  planDraft: "the unsaved draft",
  planDraftNone: "the unsaved draft (there is none)",
  planRevision: (revision) => `revision ${revision}`,
  planEarlier: ({ revision, taken_utc: taken, note }) => {
    const day = new Intl.DateTimeFormat(undefined, { day: "numeric", month: "short", year: "numeric" }).format(Date.parse(taken));
    return `revision ${revision}, taken ${day}${note ? `: ${note.slice(0, 60)}` : ""}`;
  },
  planOfFile: "a plan file…",
  planFile: "Choose a plan file",
  planHas: (loads, zone) => `${loads.map(({ name }) => name).slice(0, 6).join(", ")}${loads.length > 6 ? ` and ${loads.length - 6} more` : ""}; ${zone} time.`,
  planUnfit: "This plan has errors and cannot be run:",
  planUnread: (why) => `This plan cannot be read now: ${why}`,
  plansUnknown: (why) => `The controller's plans cannot be listed: ${why} A draft or a plan file can be run all the same.`,
  noDraft: "No unsaved draft is left in this browser. Choose another plan.",
  noPlanFile: "No plan file is chosen yet. Choose one, or another plan.",

  // Files
  noFileYet: "none chosen yet",
  fileChosen: (name, size) => `${name}, ${sizeOf(size)}`,

  // Days
  from: "From",
  length: "For",
  days: "or this many days",
  period: (first, last, days) => (days === 1 ? first : `${first} to ${last}, both whole: ${plural(days, "day", "days")}`),
  noDate: "Give a date on which the run begins.",
  noDays: (most) => `Give a whole number of days from 1 to ${numberRound(most, 0)}.`,
  dateFirst: "The run needs a date on which it begins.",
  daysFirst: "The run needs a number of days.",

  // Weather
  weather: "Each day is",
  typicalDay: "a typical day",
  weatherOfFile: "as in a weather file",
  weatherFile: "Choose a weather file",
  typicalHint: "As the plan states it, or else assumed from where the plants stand. The outcome says which air it was.",
  weatherHint: (most) => `EPW, TMY3, or CSV of hours or of days, up to ${sizeOf(most)}. A year of hours has about 2 MB.`,
  noWeatherFile: "No weather file is chosen yet. Choose one, or a typical day.",

  // Faults
  faults: "In these days",
  faultWays: { none: "nothing", form: "these faults", text: "a script" },

  // The run
  run: "Run it on paper",
  runDays: (days) => `Run ${plural(days, "day", "days")} on paper`,
  beginning: "Beginning…",
  share: (percent) => `${percent}\u00a0% done`,
  cancel: "Cancel",
  cancelled: "The run was ended. Nothing came of it, and all choices are kept.",
  done: (findings) => `Done: ${findings ? plural(findings, "finding", "findings") : "nothing to report"}.`,
  refused: (why) => `It was not run: ${why}`,
  silent: "its program has said nothing for a minute. Try fewer days.",
  brokeOff: "the connection broke off in the middle. All choices are kept; try again.",
  tooMuchSent: (size, most) => `All that would be sent has ${sizeOf(size)}, and ${sizeOf(most)} is the most. Take a shorter weather file.`,
};

/** How long a run may be chosen to be: what the number of days is, and what is read. */
export const LENGTHS = [
  ["1", "1 day"],
  ["7", "a week"],
  ["30", "30 days"],
  ["365", "a year"],
];
