/** What the plan's reader finds, as the form says it: keys by the names of their fields, and values to
 * type where a file would have lines to write. It comes in parts, each marked for what it is
 * (`controller/core/sentence.py`). */

import { WORDS as PIECE } from "/static/words/piece.js";
import { KEYS, WORDS } from "/static/words/settings.js";
import { POINTS, TARIFF } from "/static/words/rows.js";

const labelsOf = (keys) => Object.fromEntries(Object.entries(keys).map(([key, { label }]) => [key, label]));

const SPAN = { ...PIECE.bounds, fixed: PIECE.fixed, cycle: PIECE.cycle, from: PIECE.start };
const LOAD = labelsOf(KEYS.Load);
const WITHIN_LOADS = {
  spans: SPAN,
  lift: { ...labelsOf(KEYS.Lift), curve: POINTS.title },
  variants: { ...labelsOf(KEYS.Variant), by_hand: WORDS.trigger.hand },
};
const SITE = labelsOf({ ...KEYS.Site, ...KEYS.TypicalDay });
const TABLES = {
  stands: labelsOf(KEYS.Stand), reservoirs: labelsOf(KEYS.Reservoir), sensors: labelsOf(KEYS.Sensor), site: SITE,
  guards: labelsOf(KEYS.Guards), energy: { ...labelsOf(KEYS.Energy), tariff: TARIFF.title }, limits: labelsOf(KEYS.SiteLimits),
};

const keyOf = (at) => at.split(".").at(-1);

/** What the field for the key at a place is called; undefined where the form has no such field. */
function labelAt(at) {
  const [home, name, part, number, inner] = at.split(".");
  const key = keyOf(at);
  if (home !== "loads") {
    if (name !== "tariff" || number === undefined) return TABLES[home]?.[key];
    return key === "from" ? TARIFF.firstName(Number(part) + 1) : TARIFF.secondName(Number(part) + 1);
  }
  if (number === undefined) return LOAD[key];
  if (part === "limits") return LOAD[`limits.${key}`];
  return (inner === "spans" ? SPAN : WITHIN_LOADS[part])?.[key];
}

const quoted = (text) => `“${text}”`;
const named = (at) => quoted(labelAt(at) ?? keyOf(at).replaceAll("_", " "));

/** A value as one types or chooses it in the field for the key at a place. */
function typed(at, value) {
  if (keyOf(at) === "curve") return JSON.parse(value).map(([flow, head]) => `${flow}\u00a0L/h at ${head}\u00a0m`).join(", ");
  const choice = WORDS.value(keyOf(at), value);
  return choice === value ? value : quoted(choice);
}

/** The words for each kind of part; `where` is what the finding is about. */
const WORDINGS = {
  key: ({ at }, where) => (at === where && !labelAt(at) ? "it" : named(at)),
  value: ({ at, value }) => typed(at, value),
  line: ({ at, value }, where) => (at === where ? typed(at, value) : `${named(at)} ${typed(at, value)}`),
  fill_in({ at, value }, where) {
    if (at === where) return value ? `fill in a value like ${typed(at, value)}` : "fill in";
    return value ? `fill in ${named(at)} with ${typed(at, value)}` : `fill in ${named(at)}:`;
  },
  leave_out: ({ at }) => `leave ${named(at)} empty`,
  missing: ({ at }) => `${named(at)} is empty`,
  table: ({ value }) => value,
};

const wording = (parts, where) =>
  parts.map((part) => (typeof part === "string" ? part : WORDINGS[part.kind](part, where))).join("");

/** A finding with its message and its mend in the words of the form. Without parts it stays as it is. */
export function inForm({ message_parts: message, mend_parts: mend, ...finding }) {
  return {
    ...finding,
    message: message === undefined ? finding.message : wording(message, finding.where),
    mend: mend === undefined ? finding.mend : wording(mend, finding.where),
  };
}
