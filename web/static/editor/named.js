/** Names that one part of a plan gives, and others speak of. */

import { followed, readAnchor } from "/static/editor/anchor.js";

/** What names something else of the plan: in which list, and which of it will do. */
const measuring = (quantity) => ({ list: "sensors", fits: ({ measures }) => measures === quantity });
const NAMES = {
  sensor: { list: "sensors", fits: () => true },
  level: measuring("level"), flow: measuring("flow"), leak: measuring("leak"), stop_switch: measuring("stop"),
  air: measuring("air_temperature"), humidity: measuring("humidity"),
  watered_by: { list: "loads", fits: ({ kind }) => kind === "pump" || kind === "valve" },
  lamp: { list: "loads", fits: ({ kind }) => kind === "lamp" },
  reservoir: { list: "reservoirs", fits: () => true },
};
// What goes on well without what it named, and what goes on but never begins. All else needs it, or
// is a guard, which is never taken out by the way.
const DOES_WITHOUT = new Set(["reservoir", "air", "humidity"]);
const WAITS = new Set(["sensor"]);
const LOADS = { list: "loads" }; // which anchors name
const BARE = /^[A-Za-z0-9_-]{1,60}$/;

/** Whether the value of a key is such a name. */
export const isName = (key) => key in NAMES;

/** The names of a plan that will do for a key. */
export function namesFor(plan, key) {
  const { list, fits } = NAMES[key];
  return Object.entries(Object(plan?.[list])).filter(([, one]) => fits(Object(one))).map(([name]) => name);
}

/** The place of what has a name in a list of the plan, be that name one that a plan takes or not. */
export const placeOf = (list, name) =>
  `${list}.${BARE.test(name) && !/^\d+$/.test(name) ? name : JSON.stringify(name)}`;

/** A name that is free in a table: `pump`, or else `pump_2`, `pump_3` ... */
export function freeName(wanted, table) {
  const used = new Set(Object.keys(table ?? {}).map((name) => name.toLowerCase()));
  for (let number = 1; ; number += 1) {
    const name = number === 1 ? wanted : `${wanted}_${number}`;
    if (!used.has(name)) return name;
  }
}

/** What of a plan speaks of a name in one of its lists: [{at, key, owner, variant, way}]. Each can do
 * `without` it, `waits` for it in vain, or `needs` it. What goes with it is left out. */
export function namedBy(plan, list, name) {
  const isMeant = ({ key, value, owner }) =>
    value === name && (NAMES[key] ?? LOADS).list === list && !(list === "loads" && owner === name);
  return [...spoken(Object(plan))].filter(isMeant).map(({ value: _value, ...one }) => ({ ...one, way: wayOf(one.key) }));
}

function wayOf(key) {
  if (DOES_WITHOUT.has(key)) return "without";
  return WAITS.has(key) ? "waits" : "needs";
}

const entries = (table) => Object.entries(Object(table)).map(([name, one]) => [name, Object(one)]);
const listed = (list) => (Array.isArray(list) ? list : []).map((one, number) => [number, Object(one)]);

function* spoken(plan) {
  for (const [owner, load] of entries(plan.loads)) {
    yield* within(load, `loads.${owner}`, { owner }, ["reservoir", "level", "flow"]);
    yield* tied(load, `loads.${owner}`, { owner });
    for (const [number, variant] of listed(load.variants)) {
      const at = `loads.${owner}.variants.${number}`;
      yield* within(variant, at, { owner, variant: variant.name }, ["sensor"]);
      yield* tied(variant, at, { owner, variant: variant.name });
    }
  }
  yield* within(Object(plan.guards), "guards", { owner: "" }, ["leak", "stop_switch"]);
  for (const [owner, stand] of entries(plan.stands)) {
    yield* within(stand, `stands.${owner}`, { owner }, ["watered_by", "lamp", "air", "humidity"]);
  }
}

function* within(table, at, about, keys) {
  for (const key of keys) if (key in table) yield { ...about, at: `${at}.${key}`, key, value: table[key] };
}

/** The loads whose changes a day's pieces are tied to. */
function* tied({ spans }, at, about) {
  for (const [number, { from }] of listed(spans)) {
    const value = followed(readAnchor(from)?.base ?? "")?.load;
    if (value !== undefined) yield { ...about, at: `${at}.spans.${number}.from`, key: "from", value };
  }
}
