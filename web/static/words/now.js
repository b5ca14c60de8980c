/** The words of the view Now. */

import { plural } from "/static/words/counts.js";
import { capital } from "/static/words/sentences.js";

/** Names of parts that stand in the markup. */
export const NAMES = {
  title: "Now",
  loads: "Loads",
  history: "The last 24 hours",
  sensors: "Sensors",
  controller: "Clock and plan",
  api: "For your own programs: the API",
  cautionsTitle: "Water, mains and pumps can hurt",
};

export const WORDS = {
  // Alarms
  alarmCount: (count) => plural(count, "alarm", "alarms"),
  alarm: (code, subject) => capital(code) + (subject ? `: ${subject}` : ""),
  alarmSince: (at) => `Since ${at}`,
  alarmOver: "its cause is over",
  acknowledged: "Acknowledged. It goes when its cause is over.",
  acknowledge: "Acknowledge",
  acknowledgeName: (alarm) => `Acknowledge ${alarm}`,
  toldAcknowledged: (alarm) => `Acknowledged ${alarm}.`,

  // Loads
  noLoads: "The plan has no load.",
  moreOf: (load) => `More of ${load}`,
  changesAt: (until, at) => `${until} at ${at}`,
  noChange: "No change is due.",
  overdue: "due now",
  stopped: "Stopped",
  keptOff: "Kept off",
  waits: "Waits its turn",
  held: (order, end) => `Held ${order} until ${end}`,
  heldLeft: (order, left) => `Held ${order}, ${left} more`,
  release: "Release",
  releaseName: (load) => `Release ${load}`,
  holdOn: "Hold on",
  holdOff: "Hold off",
  holdName: (load, order, length) => `Hold ${order}: ${load} for ${length}`,
  holdLengthName: (load) => `How long to hold ${load}`,
  toldHeld: (load, order, length) => `${load} is held ${order} for ${length}.`,
  toldReleased: (load) => `${load} is released: it follows its plan.`,
  toldUndone: (load) => `${load} is as it was before.`,
  lastSeen: (state) => `${state} when last seen`,

  // At a glance
  glanceNow: "Waters now",
  glanceNext: "Waters next",
  glanceSun: "Sun today",
  glanceNone: "nothing",
  glanceLeft: (load, left) => `${load} (${left} more)`,
  glanceAt: (load, at) => `${load} at ${at}`,
  glanceIn: (load, left) => `${load} in ${left}`,
  glanceList: (names, others) => [...names, ...(others ? [`${others} more`] : [])].join(", "),
  sunUp: (rise, set) => `up from ${rise} to ${set}`,
  sunRise: (at) => `rises at ${at}`,
  sunSet: (at) => `sets at ${at}`,
  sunNeither: "neither rises nor sets",

  // Cautions
  cautionOn: "It may start or stop by itself, and its relay may switch mains: keep wet hands off.",
  cautionOff: "Held off is not unplugged: its relay may switch mains. Pull the plug before you reach in.",

  // Sensors
  noSensors: "The plan has no sensor.",
  sensorAge: (age) => `${age} ago`,
  justNow: "just now",
  noReading: "No reading",

  // History
  historyNone: "Nothing to show yet.",
  historyFailed: (why) => `The last hours cannot be shown: ${why}`,
  historyPartly: "There were too many switchings to show all; the earliest are left out.",
  historyBegins: (at) => `The journal begins at ${at}; the hatched time before it is not known.`,
  historyOn: (count, total) => (count ? `${plural(count, "time", "times")} on, ${total} in all` : "not on"),
  historyAway: "Hatched: no controller ran, as far as the journal tells.",
  historyDiffers: (count) => `${plural(count, "time", "times")} not as planned`,
  historyNotPlanned: (load) => `not as planned: ${load}`,
  historyOrdered: ({ ordered, why, count }, until) =>
    `The plan wanted it ${ordered}${count > 1 ? ` ${count} times` : ""}, until ${until}${why ? `. Decided by: ${why}` : ""}.`,
  historyLate: (length) => `The latest switching came ${length} after its time.`,
  historyList: (count) => `What else happened: ${plural(count, "note", "notes")}`,

  // Clock and plan
  clock: "Clock",
  clockTrusted: "trusted",
  clockUntrusted: "not trusted",
  zone: (zone) => `times are those of ${zone}`,
  deviceDiffers: (length) => `This device's clock differs from it by ${length}.`,
  plan: "Plan",
  revision: (number, at) => (at ? `revision ${number}, in force since ${at}` : `revision ${number}`),
  planRefused: (why) => `A newer plan on disk was refused: ${why}`,
  late: "Lateness",
  lateness: (p99, worst) => `99 of 100 switchings within ${p99}\u00a0ms, the latest ${worst}\u00a0ms after its time`,
  version: "Version",
  connection: "Connection",

  titleAlarms: (count) => plural(count, "alarm", "alarms"),
};

/** How long a hold may be chosen to last: what is sent, and what is read. */
export const HOLD_LENGTHS = [
  ["5m", "5 min"],
  ["20m", "20 min"],
  ["1h", "1 h"],
  ["4h", "4 h"],
];
export const HOLD_LENGTH_FIRST = "20m";
