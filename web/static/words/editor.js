/** The words of the plan's form that are there at once: loads, their days, what is wrong. */

import { lengthOf } from "/static/editor/lengths.js";
import { GRADES, mendWords } from "/static/words/findings.js";

const SIGNS = { air_temperature: "°C", water_temperature: "°C", humidity: "%", light: "W/m²", flow: "L/min" };

/** A length to the second, as a person says it: `15 min`, `1 min 30 s`, `1 h 30 min`. */
export function lengthWhole(seconds) {
  const whole = Math.round(seconds * 1000) / 1000;
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor((whole % 3600) / 60)];
  const rest = Math.round((whole % 60) * 1000) / 1000;
  const parts = [hours && `${hours}\u00a0h`, minutes && `${minutes}\u00a0min`, rest && `${rest}\u00a0s`].filter(Boolean);
  return parts.join(" ") || "0\u00a0s";
}

const ON_DEMAND = "on demand";

function cycle(told) {
  if (told === null) return "?";
  if (told.isOnDemand) return ON_DEMAND;
  if (told.steady !== null) return told.steady ? "on" : "off";
  return told.steps.map(({ isOn, s }) => `${lengthWhole(s)} ${isOn ? "on" : "off"}`).join(", ");
}

const MINUTES_SAID_S = 99 * 60;

/** `15/45` where it is minutes on and minutes off, as growers say it; `6 h/18 h`. */
function cycleShort(told) {
  if (told === null) return "?";
  if (told.isOnDemand) return ON_DEMAND;
  if (told.steady !== null) return told.steady ? "on" : "off";
  const whole = told.steps.every(({ s }) => s % 60 === 0 && s <= MINUTES_SAID_S);
  return told.steps.length === 2 && told.steps[0].isOn
    ? told.steps.map(({ s }) => (whole ? s / 60 : lengthWhole(s))).join("/") : "…";
}

/** `30 min before sunrise`, `lamp on`; of a clock time, nothing: the moment itself tells it. */
function tie({ base, s }) {
  if (base === "clock") return "";
  return s ? `${lengthWhole(Math.abs(s))} ${s < 0 ? "before" : "after"} ${base}` : base;
}

export const WORDS = {
  cycle,
  cycleShort,
  tie,

  // The whole
  noPlan: "The form cannot show a text that is not TOML. Mend it below, under “As text”.",
  rest: "Plants, reservoirs, sensors, place and guards",
  settingsFailed: (why) => `This part could not be loaded: ${why}`,

  // Findings
  levels: { error: `${GRADES.error}:`, warning: `${GRADES.warning}:`, note: `${GRADES.note}:` },
  mend: mendWords,

  // A load
  kinds: { pump: "pump", lamp: "lamp", fan: "fan", valve: "valve", heater: "heater" },
  about: (kind, line) => `${kind}, line ${line}`,
  aboutShort: (line) => `line ${line}`,
  from: (what, when) => `${what} from ${when}`,
  allDay: (what) => `${what} all day`,
  sentence: (parts) => `${parts.join("; ")}.`.replace(/^[a-z]/, (letter) => letter.toUpperCase()),
  settings: "Settings",
  settingsName: (load) => `Settings of ${load}`,

  // The band
  lit: (lamp) => `${lamp} on`,
  noBand: "The day is drawn when the plan has no errors.",
  handleName: (name, told) => `${name}: start of ${told}. Enter opens it`,
  moment: (time, anchor) => (tie(anchor) ? `${time}, ${tie(anchor)}` : time),
  pieces: (name) => `Pieces of the day of ${name}`,
  notToday: "not on this day",
  chipName: (shown, told) => `${shown}: ${told.filter(Boolean).join(", ")}`,
  add: "Add",
  addName: (name) => `Add a piece to the day of ${name}`,
  toldSplit: (name) => `${name}: a piece added`,
  toldMoved: (name, when) => `${name}: piece from ${when}`,
  toldCycle: (name, told) => `${name}: ${told}`,
  toldRemoved: (name) => `${name}: a piece removed`,

  // Variants
  variant: (name) => `Variant “${name}”`,
  byHand: "Only while a person holds it",
  condition: ({ sensor, above, below, until, at_least: least }, sign) => {
    const edge = above === undefined ? `below ${below}` : `above ${above}`;
    const back = until === undefined ? "" : `, until it is back at ${until}${sign}`;
    const s = lengthOf(String(least)); // null: a length that is none is said as it stands
    return `While ${sensor} is ${edge}${sign}${back}${least ? `, for at least ${s === null ? least : lengthWhole(s)}` : ""}`;
  },
  sign: (measures) => (SIGNS[measures] ? `\u00a0${SIGNS[measures]}` : ""),
  addVariant: "Other times in heat or cold",
  addVariantName: (load) => `Other times in heat or cold for ${load}`,
  change: "Change the condition",
  changeName: (variant) => `Change the condition of ${variant}`,

  // Adding
  addLoad: "Add a load",
};
