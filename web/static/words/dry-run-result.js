/** The words of what came of a dry run. */

import { momentWords } from "/static/dry_run/dates.js";
import { numberRound } from "/static/numbers.js";
import { plural } from "/static/words/counts.js";
import { amountFine } from "/static/preview/figures.js";
import { capital } from "/static/words/sentences.js";

export const RESULT = {
  title: "What came of it",
  period: (names, first, last, days) => {
    const when = days === 1 ? first : `${first} to ${last}, ${plural(days, "day", "days")}`;
    return `${capital(names.join(" beside "))}. ${when}.`;
  },
  air: (note) => `${note}${note.endsWith(".") ? "" : "."}`,
  withFaults: "With the faults that were chosen.",
  withoutFaults: "Nothing else goes wrong.",
  zone: (zone) => `Times are those of ${zone}.`,
  numbered: (number, name) => `${number}: ${name}`,

  findingsTitle: "Findings",
  nothingToReport: "Nothing to report: no limit was broken.",
  warned: (counts) => `No limit was broken, but there are warnings: ${counts}.`,
  noted: (counts) => `No limit was broken: ${counts}.`,
  differencesTitle: (name) => `What is different with ${name}`,
  partOf: {
    stands: (name) => `${name} (stand)`,
    lifts: (name) => `${name} (water to the top)`,
    reservoirs: (name) => `${name} (reservoir)`,
  },
  difference: (words) => `${capital(words)}.`,

  accountTitle: "Figures by load",
  bothWays: (first, second) => `Each figure: ${first} → ${second}.`,
  energy: (kwh) => `All loads: ${kwh.map((one) => `${amountFine(one)}\u00a0kWh`).join(" → ")}.`,
  price: (amount) => `Cost at ${amount} a kWh.`,
  tariff: "Cost at the price of each time of day.",
  ownPrices: "Cost at the prices of each plan.",
  waterTitle: "Roots and water",
  waterUnfetched: (why) => `What was reckoned of roots and reservoirs cannot be shown: ${why}`,
  notTold: "not told",

  detailsTitle: "When, and what the relays take",
  detailsOf: (plan) => `When, and what the relays take: ${plan}`,
  watts: (watts, ms, zone) => `At most ${numberRound(watts, 1)}\u00a0W at once, first ${momentWords(ms, zone)}.`,
  never: "never",
  percent: (number) => `${number}\u00a0%`,

  pictureTitle: "Picture",
  larger: "Larger",
  smaller: "Smaller",
  whole: "Whole width",
  scale: (percent) => `${percent}\u00a0%`,
  inWords: "The picture in words",

  happeningsTitle: "Alarms and what else happened",
  nothingHappened: "No alarm, no outage, no order by hand.",
  event: (event, subject, isBad) => `${isBad ? "◆ " : ""}${capital(event)}${subject ? `: ${subject}` : ""}`,
  routine: (count) => `${plural(count, "change", "changes")} between variants`,
  moreHappened: (more) => `${plural(more, "more is", "more are")} in the figures as JSON.`,
  leftOut: (count) => `${plural(count, "more was", "more were")} left out. A shorter run tells all of them.`,

  savesTitle: "Save",
  savePicture: "Picture (SVG)",
  saveEvents: "Every switching (CSV)",
  saveFigures: "Figures (JSON)",
  saveWater: "Water by day (CSV)",
  eventsHint: (name) => `The switchings are those of ${name}.`,
  noEvents: (why) => `There is no file: ${why}`,
};

/** Heads of the columns where many loads stand in one table. */
export const COLUMNS = {
  load: "Name",
  gap: "Longest off",
  starts: "Starts",
  on: "On in all",
  longest: "Longest on",
  energy: "Energy",
  cost: "Cost",
  gapFrom: "Longest off since",
  longestFrom: "Longest on since",
  startsADay: "Most starts a day",
  onADay: "Most on a day",
  switches: "Switchings",
  contact: "Relay's rated life used in a year",
};
