/** The words of the form's parts about plants, reservoirs and the way up, and of taking them out again. */

/** Where nothing is chosen yet. */
export const CHOOSE = "choose";
/** On a button beside a row, which says to those who do not see the row what it removes. */
export const REMOVE = "×";

export const STAND = {
  title: "Add plants",
  noPump: "Add a pump or a valve first: it is what waters them.",
  firstName: "greens",
  age: "How old are they?",
  bySowing: "by day of sowing",
  byAge: "one age for all days",
  sownHint: "they grow older from then on",
  add: "Add them",
  added: (name) => `the plants ${name} are added to the draft`,
};

export const RESERVOIR = {
  title: "Add a reservoir",
  firstName: "tank",
  drawn: "Who draws from it?",
  nobody: "nobody yet",
  all: "all pumps and valves",
  insteadOf: (load, other) => `${load}, instead of from ${other}`,
  add: "Add it",
  added: (name) => `the reservoir ${name} is added to the draft`,
};

export const LIFT = {
  addHint: "With it, dry runs tell whether the water reaches the top, and how much of it. Fittings such as elbows are added afterwards.",
  by: "The pump is known by",
  byLabel: "its label",
  byCurve: "its curve",
  add: "Add the way up",
  added: (load) => `${load}: the way up is added to the draft`,
  remove: (load) => `Remove the way up of ${load}`,
  removed: (load) => `The way up of ${load} is removed from the draft.`,
  curveInstead: "By points of the pump’s curve instead",
  labelInstead: "By the two numbers on the pump’s label instead",
  takeCurve: "Take these points",
  takeLabel: "Take these numbers",
  toldCurve: (load) => `${load}: points of the pump’s curve`,
  toldLabel: (load) => `${load}: the numbers on the pump’s label`,
};

export const PAIRS = { takeBack: "As it was" };

export const TARIFF = {
  title: "Prices by the time of day",
  hint: "Each holds from its time, such as 22:00, until the next one’s. They take the place of one price for all times.",
  firstUnit: "on:",
  secondUnit: "",
  firstName: (number) => `Price ${number}: from this time`,
  secondName: (number) => `Price ${number}: of a kWh`,
  add: "Add a price",
  removeIt: (number) => `Remove price ${number}`,
  told: "prices by the time of day",
};

export const POINTS = {
  title: "Points of the pump’s curve",
  hint: "From the maker’s chart: so much flows when it lifts so high. The highest lift has a flow of 0, and the greatest flow mostly a lift of 0.",
  firstUnit: "L/h at",
  secondUnit: "m",
  firstName: (number) => `Point ${number}: flow in litres an hour`,
  secondName: (number) => `Point ${number}: lift in metres`,
  add: "Add a point",
  removeIt: (number) => `Remove point ${number}`,
};

export const FITTINGS = {
  title: "Fittings on the way up",
  hint: "Each takes some of the flow. Count those that the water passes one after the other.",
  which: "Another fitting",
  add: "Add this fitting",
  added: (load, fitting) => `${load}: ${fitting}, 1`,
  counted: (load, fitting, count) => `${load}: ${fitting}, ${count}`,
  removeIt: (fitting) => `Remove: ${fitting}`,
  removed: (load, fitting) => `${load}: ${fitting} removed`,
};

/** What is told before something is taken out that others name. */
export const WORDS = {
  ofVariant: (load, variant) => `${load} in its variant “${variant}”`,
  namedBy: {
    reservoir: (who) => `${who} draws from it`,
    level: (who) => `${who} stops by it when water is low`,
    flow: (who) => `${who} is watched by it`,
    sensor: (who) => `${who} waits for its reading`,
    from: (who) => `${who} begins a piece of its day by it`,
    leak: () => "the guard against leaks goes by it",
    stop_switch: () => "the switch that stops everything is this one",
    watered_by: (who) => `${who} is watered by it`,
    lamp: (who) => `${who} is lit by it`,
    air: (who) => `${who} has it for the air`,
    humidity: (who) => `${who} has it for the humidity`,
  },
  stays: (name, reasons) => `${name} stays, because ${reasons.join("; ")}. Change that first.`,
  sure: (name) => `Remove ${name}?`,
  sureText: (name) => `Other parts of the plan name ${name}:`,
  then: {
    without: (what) => `${what}; the plan will no longer say so.`,
    waits: (what) => `${what}; it will then wait for ever.`,
  },
  sureYes: "Remove it",
  sureNo: "Keep it",
};
