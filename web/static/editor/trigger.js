/** What switches a variant on: a sensor's reading above or below an edge, or a person. */

import { WORDS } from "/static/words/settings.js";

export const HAND = "hand";
/** A sensor of the air that the plan does not have yet. */
export const NEW = "new";
// °C: a hot afternoon and a cold night, each left three degrees back.
const HOT = { edge: 32, until: 29 };
const COLD = { edge: 5, until: 8 };
// A contact says yes or no: it has no amount that could pass an edge.
const CONTACTS = new Set(["level", "leak", "stop"]);

/** Choices [[value, words]] for the sensors of a plan; a value is `above air`, `below air`, NEW or HAND. */
export function triggers(sensors = {}) {
  const names = Object.keys(sensors).filter((name) => !CONTACTS.has(sensors[name].measures));
  const options = names.flatMap((name) => [
    [`above ${name}`, WORDS.trigger.above(name)], [`below ${name}`, WORDS.trigger.below(name)],
  ]);
  if (!names.length) options.push([NEW, WORDS.trigger.newSensor]);
  return [...options, [HAND, WORDS.trigger.hand]];
}

/** The choice that a variant stands for; "" where it has none or several. */
export function triggerOf({ by_hand: byHand, sensor, above, below }) {
  if (byHand) return HAND;
  if (sensor === undefined || (above === undefined) === (below === undefined)) return "";
  return `${above === undefined ? "below" : "above"} ${sensor}`;
}

/** Edges to begin with: {edge, until}; null where no number suits any place. */
export function edgesFor(measures, way) {
  if (!String(measures).endsWith("temperature")) return null;
  return way === "below" ? COLD : HOT;
}

/** What to ask of the plan so that a variant at a place gets another trigger: edits. */
export function retriggered(variant, at, wanted, sensors = {}) {
  const has = (key) => variant[key] !== undefined;
  const without = (...keys) => keys.filter(has).map((key) => ({ do: "remove", at: `${at}.${key}` }));
  const set = (key, value) => ({ do: "set", at: `${at}.${key}`, value });
  if (wanted === HAND) return [...without("sensor", "above", "below", "until", "at_least"), set("by_hand", true)];
  const [way, sensor] = wanted.split(" ");
  const other = way === "above" ? "below" : "above";
  const edits = [...without("by_hand", other), set("sensor", sensor)];
  if (has(way)) return edits;
  // The other way round: what ended it begins it.
  const first = has(other) && has("until")
    ? { edge: variant.until, until: variant[other] }
    : edgesFor(sensors[sensor]?.measures, way) ?? { edge: 0, until: 0 };
  return [...edits, set(way, first.edge), set("until", first.until)];
}
