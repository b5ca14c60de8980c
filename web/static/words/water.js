/** The words of what a plan does to roots, reservoirs and pumps. What of it are ranges is told as
 * such: nobody knows leaves and roots to the last digit. */

export const WATER = {
  title: "Roots and water",
  stands: "Plants",
  lifts: "Pumps",
  reservoirs: "Reservoirs",
  caption: (name) => `Water of ${name}`,
  assumed: "For all of this:",
  hint: "First what is likely, below it the range that sources on leaves and roots allow.",
};

/** Names of the rows, each of what it is about. */
export const ROWS = {
  driest: () => "Left to the roots when driest",
  drinks: () => "A plant drinks",
  drinksADay: () => "A plant drinks a day",
  below: ({ reserve }) => `Below the reserve of ${reserve}`,
  thirst: () => "A plant goes without",
  flow: () => "Arrives at the top",
  each: () => "A plant gets",
  topUpAfter: ({ mark }) => `A full one falls to ${mark} after`,
  dryAfter: () => "Its inlet draws air after",
  end: () => "Left at the end",
  strength: () => "Strength at the end",
  topUpAt: ({ mark }) => `Falls to ${mark}`,
  dryAt: () => "Its inlet draws air",
  unmet: () => "Plants go without",
};

/** What a figure that went up, and one that went down, is said to be. */
export const GREW = {
  driest: "more", drinks: "more", below: "longer", thirst: "more", flow: "more", each: "more",
  topUpAfter: "longer", dryAfter: "longer", end: "more", strength: "more", topUpAt: "later", dryAt: "later", unmet: "more",
};
export const SHRANK = {
  driest: "less", drinks: "less", below: "shorter", thirst: "less", flow: "less", each: "less",
  topUpAfter: "shorter", dryAfter: "shorter", end: "less", strength: "less", topUpAt: "earlier", dryAt: "earlier", unmet: "less",
};

export const AMOUNTS = {
  percent: (number) => `${number}\u00a0%`,
  points: (number) => (number === "1" ? "1\u00a0point" : `${number}\u00a0points`),
  strength: (number) => `${number}\u00a0mS/cm`,
  ml: (number) => `${number}\u00a0mL`,
  litres: (number) => `${number}\u00a0L`,
  litresAnHour: (number) => `${number}\u00a0L/h`,
  mlAMinute: (number) => `${number}\u00a0mL/min`,
  days: (number) => (number === "1" ? "1\u00a0day" : `${number}\u00a0days`),
  never: "never",
  nothing: "nothing",
  notInThisRun: "not in this run",
  nothingGrows: "nothing grows",
  under: (length) => `under ${length}`,
};

/** What stands beside a figure. */
export const NOTES = {
  range: (low, high) => `${low} to ${high}`,
  instead: (now, before) => `${now} instead of ${before}`,
  driest: (range, at) => [range, `at ${at}`].filter(Boolean).join(", "),
  ppm: (range, ppm, scale) => [range, `${ppm}\u00a0ppm on the ${scale} scale`].filter(Boolean).join("; "),
  worst: (length) => `in the worst case ${length}`,
  earliest: (moment) => `at the earliest ${moment}`,
};

export const COURSE = {
  title: (name, words) => `${name}: ${words}`,
  driest: (at, share, range, reserve) => {
    const held = range ? `${share} left (${range})` : `${share} left`;
    return `driest at ${at}, ${held}; the reserve is ${reserve}`;
  },
  before: (at, share) => `with the plan in force ${share} at ${at}`,
  full: "full",
  empty: "empty",
  reserve: "reserve",
  nothing: "nothing grows on this day",
  keyLikely: "what is likely left to the roots",
  keyRange: "what sources allow",
  keyReserve: "the reserve",
  keyDriest: "driest moment",
  keyBefore: "driest with the plan in force",
};
