/** The words of the form's parts about plants, reservoirs and the way up. */

/** Where nothing is chosen yet. */
export const CHOOSE = "choose";
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
