/** Loads that may switch mains, new or changed in a plan, and what to read before they do. Plans
 * are as JSON. */

import { post } from "/static/api.js";
import { make } from "/static/dom.js";
import { CAUTIONS } from "/static/words/cautions.js";
import { WORDS } from "/static/words/plan_saving.js";

const WIRING = ["kind", "line", "active", "mains", "contact", "when_stopped"];

/** A plan's text as JSON. Throws a Problem where nobody answers. */
export const documentOf = async (text) => (await post("/plan/edit", { text, edits: [] })).document;

/** Names of loads that may switch mains and that `after` adds, or wires otherwise than `before`. */
export const newMainsLoads = (before, after) => mainsLoads(before, after, isSameWiring);

/** Names of loads that may switch mains and in which anything differs. */
export const touchedMainsLoads = (before, after) => mainsLoads(before, after, isSame);

/** What to read before these loads switch mains: elements. */
export function cautionParts(names) {
  const list = make("ul", "", ...CAUTIONS.map((caution) => make("li", "", caution)));
  return [make("p", "", WORDS.mainsText(names.join(", "))), list];
}

function mainsLoads(before, after, isAlike) {
  return Object.entries(after?.loads ?? {})
    .filter(([name, load]) => load.mains !== false && !isAlike(before?.loads?.[name], load))
    .map(([name]) => name);
}

const isSameWiring = (one, other) => one !== undefined && WIRING.every((key) => one[key] === other[key]);

const isSame = (one, other) => JSON.stringify(one) === JSON.stringify(other);
