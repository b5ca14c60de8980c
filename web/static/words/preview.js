/** The words of what a plan would do: figures before and after, days, strips. Findings come from
 * the page's own program in words. */

import { plural } from "/static/words/counts.js";
import { GRADES, countOf, mendWords } from "/static/words/findings.js";
import { capital } from "/static/words/sentences.js";

const GAPS = {
  pump: "dry gap", valve: "time closed", lamp: "time dark", fan: "time still", heater: "time cold",
};
const TURNS = {
  pump: ["watering", "waterings"],
  valve: ["opening", "openings"],
  lamp: ["time lit", "times lit"],
  fan: ["run", "runs"],
  heater: ["heating", "heatings"],
};
const TURN_OTHERWISE = ["time on", "times on"];

/** What the time between two turns of a kind of load is called. */
const gapWord = (kind) => GAPS[kind] ?? "time off";

/** What its being on is called, for one or many. */
const turnWord = (kind, count) => (TURNS[kind] ?? TURN_OTHERWISE)[count === 1 ? 0 : 1];

/** `48 waterings`. */
const turns = (kind, count) => plural(count, turnWord(kind, 1), turnWord(kind, 2));

/** Names of the rows of an account. */
export const ROWS = {
  gap: (kind) => `Longest ${gapWord(kind)}`,
  starts: (kind) => capital(turnWord(kind, 2)),
  on: () => "On in all",
  longest: (kind) => `Longest ${turnWord(kind, 1)}`,
  energy: () => "Energy",
  cost: () => "Cost",
};

/** What a figure that went up, and one that went down, is said to be. */
export const GREW = { gap: "longer", starts: "more", on: "more", longest: "longer", energy: "more", cost: "more" };
export const SHRANK = { gap: "shorter", starts: "fewer", on: "less", longest: "shorter", energy: "less", cost: "less" };

export const ACCOUNT = {
  same: "the same",
  from: "before: ",
  to: ", after: ",
  notTold: "not told",
  isNew: "is new",
  isGone: "goes away",
  caption: (load) => `Figures of ${load}`,
  figure: "Figure",
  value: "Value",
  alike: (names) => `The same as before: ${names}.`,
  slight: (names) => `Other by less than 1\u00a0%: ${names}.`,
  kwh: (amount) => `${amount}\u00a0kWh`,
  none: "No load.",
  currencies: "Cost is not told: the plans’ prices are in different currencies.",
};

export const STRIPS = {
  load: ({ starts, kind, on, gap, at }) => {
    const parts = [turns(kind, starts), `${on} in all`];
    if (gap) parts.push(`longest ${gapWord(kind)} ${gap} from ${at}`);
    return parts.join(", ");
  },
  alwaysOn: "on all day",
  neverOn: "off all day",
  isNew: "new with this draft",
  isGone: "goes away with this draft",
  night: "night",
  day: "day",
  sun: ({ dawn, sunrise, sunset, dusk }) => {
    const parts = [];
    if (dawn) parts.push(`dawn ${dawn}`);
    if (sunrise) parts.push(`sunrise ${sunrise}`);
    if (sunset) parts.push(`sunset ${sunset}`);
    if (dusk) parts.push(`dusk ${dusk}`);
    return parts.length ? `${capital(parts.join(", "))}.` : "The sun neither rises nor sets.";
  },
  keyDraft: "this draft",
  keyBefore: "the plan in force",
  keyGap: "longest dry gap",
  keyNight: "night",
};

export const DAYS = {
  today: (date) => `Today, ${date}`,
  tomorrow: (date) => `Tomorrow, ${date}`,
  next: (date) => `Next, ${date}`,
  dated: (why, date) => `${capital(why)}: ${date}`,
  besides: (title, why) => `${title}: ${why}`,
  changes: (names) => (names.length > 3 ? `${names.length} loads change` : `changes: ${names.join(", ")}`),
  roots: "roots are left more or less",
  alike: "nothing changes",
  breaks: (count) => countOf("limit", count),
  warm: (title, warmest) => `${title}, up to ${warmest} assumed`,
  length: (hours) => `This day has ${hours} hours.`,
  title: "Day by day",
  inSentence: { today: "today", tomorrow: "tomorrow", next: "on the next day", hottest: "on the hottest day", odd: "on an odd day" },
  columns: { today: "Today", tomorrow: "Tomorrow", next: "Next day", hottest: "Hottest day", odd: "Odd day" },
};

export const FINDINGS = {
  grades: GRADES,
  notes: (count) => countOf("note", count),
  place: (name, rest) => `${name}: ${rest}`,
  where: (place, line) => (line === null ? place : `${place} (line ${line})`),
  mend: mendWords,
  onDays: (count) => `On ${count} of the days below`,
  asBefore: "as with the plan in force",
};

export const SUMMARY = {
  waiting: "Working out what it would do…",
  errors: (count) => `${countOf("error", count)} in the plan`,
  limits: (count) => countOf("limit", count),
  inForce: "This is the plan in force: nothing changes.",
  inForceFolded: "What it does, day by day",
  nothing: "Nothing changes.",
  nothingOn: (days, count) => `Nothing changes ${days}, but ${plural(count, "other day changes", "other days change")}.`,
  onDay: (day, text) => `${capital(day)} ${text}.`,
  load: (name, phrases) => `${name}: ${phrases.join(", ")}`,
  loadIsOther: (name) => `${name}: other times, the same figures`,
  loadIsNew: (name) => `${name} is new`,
  loadIsGone: (name) => `${name} goes away`,
  more: (count) => plural(count, "more load changes", "more loads change"),
  share: (number) => `${number}\u00a0%`,
  notGrown: "nothing",
  standDriest: (name, before, after) => `${name} ${before} → ${after}`,
  driest: (day, stands) => `Roots at their driest ${day}: ${stands.join(", ")} left.`,
  phrases: {
    gap: (kind, amount, word) => `longest ${gapWord(kind)} ${amount} ${word}`,
    starts: (kind, amount, word) => `${amount} ${word} ${turnWord(kind, amount === "1" ? 1 : 2)}`,
    on: (kind, amount, word) => `${amount} ${word} on`,
  },
  compared: "What changes",
  comparedWith: "Each figure: with the plan in force → with this draft.",
  price: (amount) => `Cost at ${amount} a kWh.`,
  tariff: "Cost at the price of each time of day, each plan by its own.",
  waterUnfetched: (why) => `What it does to roots and reservoirs cannot be shown: ${why}`,
  noRunning: "There is no plan in force to compare with.",
  drawing: "Redrawing…",
  older: "The page's own program does not answer: this is of an older text.",
  failed: (why) => `It cannot be worked out: ${why}`,
  unfit: "The text has errors: this is of the text before them.",
  zone: (zone) => `Times are those of ${zone}, where the plan in force is.`,
};
