/** Every word of the page. What the controller tells (sentences, what to do about an alarm, why
 * it refuses) comes from it in words and stands in no catalogue here. */

const DOING = {
  pump: { on: "Watering", off: "Resting", untilOff: "until it rests", untilOn: "until it waters" },
  valve: { on: "Open", off: "Closed", untilOff: "until it closes", untilOn: "until it opens" },
  lamp: { on: "Lit", off: "Dark", untilOff: "until it goes dark", untilOn: "until it is lit" },
  fan: { on: "Blowing", off: "Still", untilOff: "until it stands still", untilOn: "until it blows" },
  heater: { on: "Heating", off: "Cold", untilOff: "until it goes off", untilOn: "until it heats" },
};
const OTHERWISE = { on: "On", off: "Off", untilOff: "until it goes off", untilOn: "until it goes on" };

/** What a load of a kind does when on and off, and what its next change is called. */
export const doing = (kind) => DOING[kind] ?? OTHERWISE;

export const MEASURES = {
  air_temperature: "air",
  water_temperature: "water",
  humidity: "humidity",
  light: "light",
  level: "level",
  flow: "flow",
  leak: "leak",
  stop: "stop switch",
};

/** What a contact says, by what it measures and its value. */
export const CONTACTS = {
  level: { 1: "Water stands at it", 0: "No water at it" },
  leak: { 1: "Wet", 0: "Dry" },
  stop: { 1: "Pressed", 0: "Not pressed" },
};

/** Names of parts that stand in the markup. */
export const NAMES = {
  skip: "To the loads",
  waiting: "Asking the controller…",
  loads: "Now",
  history: "The last 24 hours",
  sensors: "Sensors",
  controller: "Clock and plan",
  cautions: "Water, mains and pumps",
  cautionsTitle: "Water, mains and pumps can hurt",
  undo: "Undo",
  close: "Close",
};

/** Quoted from the controller's own cautions. */
export const CAUTIONS = [
  "Prefer low voltage: a 12 V or 24 V pump on a safety-isolated supply needs no mains near water at all.",
  "Mains near water belongs behind a GFCI (North America) or a 30 mA RCD (elsewhere); test its button every month.",
  "Give every cord a drip loop: it hangs below the socket and rises to it, so that water drips off.",
  "Relays, supplies and plugs live in a closed enclosure, above and away from the water, with strain relief.",
  "Unplug pump and lamps before you put wet hands near them. Software is not a switch that you may trust your life to.",
  "Local codes have the last word, and work on mains is for licensed people.",
];

const plural = (count, one, many) => (count === 1 ? `1 ${one}` : `${count} ${many}`);

export const WORDS = {
  // Connection
  live: "Live",
  connectionBack: "Connected again.",
  pageLost: "No connection to this page's own program.",
  controllerLost: "The controller does not answer.",
  mayGoOn: "It may well be watering all the same: go and look.",
  pictureIs: (age, at) => `This picture is ${age} old, from ${at}. Trying again by itself.`,
  connection: "Connection",
  reason: (why) => `${why.charAt(0).toUpperCase()}${why.slice(1)}.`,
  noPicture: "There is no picture yet. Trying again by itself.",
  lastSeen: (state) => `${state} when last seen`,

  // Loud
  mock: "Mock relays: nothing real is switched.",
  rehearsal: (speed) => `Rehearsal: time runs ${speed} times as fast as life.`,
  stoppedBanner: "Everything is stopped. Nothing is watered until you resume.",
  clockBanner: "The controller does not trust its clock, so loads run on elapsed time.",
  vouch: "Look at the clock",
  vouchTitle: "Is the controller's clock right?",
  vouchText: (site, own) => `It shows ${site}. This device shows ${own} for the same place. If you vouch for it, the plan goes on by that clock.`,
  vouchYes: "Yes, it is right",
  vouchNo: "No, leave it",
  vouched: "The controller trusts its clock again.",

  // Alarms
  alarmCount: (count) => plural(count, "alarm", "alarms"),
  alarm: (code, subject) => code.charAt(0).toUpperCase() + code.slice(1) + (subject ? `: ${subject}` : ""),
  alarmSince: (at) => `Since ${at}`,
  alarmOver: "its cause is over",
  acknowledged: "Acknowledged. It goes when its cause is over.",
  acknowledge: "Acknowledge",
  acknowledgeName: (alarm) => `Acknowledge ${alarm}`,
  toldAcknowledged: (alarm) => `Acknowledged ${alarm}.`,

  // Loads
  noLoads: "The plan has no load.",
  changesAt: (until, at) => `${until}, at ${at}`,
  noChange: "No change is due.",
  overdue: "due now",
  stopped: "Stopped",
  held: (order, end) => `Held ${order} until ${end}`,
  heldLeft: (order, left) => `Held ${order}, ${left} more`,
  release: "Release",
  releaseName: (load) => `Release ${load}`,
  holdOn: "Hold on",
  holdOff: "Hold off",
  holdName: (load, order, length) => `Hold ${load} ${order} for ${length}`,
  holdLengthName: (load) => `How long to hold ${load}`,
  toldHeld: (load, order, length) => `${load} is held ${order} for ${length}.`,
  toldReleased: (load) => `${load} is released: it follows its plan.`,
  toldUndone: (load) => `${load} is as it was before.`,

  // Stop and resume
  stop: "Stop everything",
  stopHint: "press and hold for a second",
  stopPressing: "Keep pressing…",
  stopTitle: "Stop everything?",
  stopText: "Pumps, lamps and all else go off and stay so until somebody resumes. Roots dry out meanwhile.",
  stopYes: "Stop everything now",
  stopNo: "Let it run",
  stopFailed: (why) => `The stop did not arrive: ${why} If it cannot wait, pull the plugs with dry hands.`,
  resume: "Resume",
  resumeTitle: "Resume the watering?",
  resumeText: "Pumps and lamps may start at once. Are all hands and tools out of the water, and are all covers closed?",
  resumeYes: "Resume now",
  resumeNo: "Stay stopped",
  resumeSent: "Resumed: loads follow the plan again.",

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
  historyList: (count) => `${plural(count, "note", "notes")}: alarms, orders, starts`,

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
  lateness: (p99, worst) => `99 of 100 switchings within ${p99} ms, the latest ${worst} ms after its time`,
  version: "Version",
  guest: "You may look. To order anything, log in.",

  // Logging in
  loginTitle: "Passcode",
  loginText: "This page asks for its passcode.",
  loginLabel: "Passcode",
  login: "Log in",
  logout: "Log out",
  back: "Back",

  // Problems
  unreachable: "no connection.",
  strange: (status) => `it answered with ${status}.`,
  failed: (why) => `That did not work: ${why}`,

  titleAlarms: (count) => plural(count, "alarm", "alarms"),
  titleLost: "no connection",
};

/** How long a hold may be chosen to last: what is sent, and what is read. */
export const HOLD_LENGTHS = [
  ["5m", "5 min"],
  ["20m", "20 min"],
  ["1h", "1 h"],
  ["4h", "4 h"],
];
export const HOLD_LENGTH_FIRST = "20m";

/** A length to the second, for what counts down: `14 min 32 s`. */
export function lengthExact(seconds) {
  const whole = Math.max(0, Math.ceil(seconds));
  if (whole < 60) return `${whole} s`;
  if (whole < 3600) return `${Math.floor(whole / 60)} min ${String(whole % 60).padStart(2, "0")} s`;
  return lengthRound(whole);
}

/** A length for reading: `6 min`, `2 h 5 min`, `3 days`. */
export function lengthRound(seconds) {
  if (seconds < 60) return `${Math.max(0, Math.round(seconds))} s`;
  if (seconds >= 172800) return `${Math.round(seconds / 86400)} days`;
  const minutes = Math.round(seconds / 60);
  const hours = Math.floor(minutes / 60);
  if (!hours) return `${minutes} min`;
  return minutes % 60 ? `${hours} h ${minutes % 60} min` : `${hours} h`;
}
