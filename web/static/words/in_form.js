/** What the plan's reader says of a file, as the form says it: fields by their names, and values to type
 * where a file would have lines to write. */

import { WORDS as PIECE } from "/static/words/piece.js";
import { KEYS, WORDS } from "/static/words/settings.js";

const SPAN = Object.fromEntries(Object.entries({ ...PIECE.bounds, fixed: PIECE.fixed }).map(([key, label]) => [key, { label }]));
const TABLES = {
  stands: KEYS.Stand, reservoirs: KEYS.Reservoir, sensors: KEYS.Sensor, site: KEYS.Site, guards: KEYS.Guards,
  energy: KEYS.Energy, limits: KEYS.SiteLimits,
};

/** The names of keys' fields, where they are alike in every table; null where they are not. */
const LABELS = new Map();
for (const [path, { label }] of [...Object.values(KEYS), SPAN].flatMap(Object.entries)) {
  const key = path.split(".").pop();
  LABELS.set(key, LABELS.has(key) && LABELS.get(key) !== label ? null : label);
}
const VALUE = String.raw`("(?:[^"\\]|\\.)*"|\[\[.*?\]\]|[^\s,;:]+)`;
const PAIR = new RegExp(String.raw`\b([a-z_0-9]+) = ${VALUE}`, "g");
const HEADER = /\[+([\w-]+(?:\.[\w-]+)*)\]+/g;
const POINT = /\[([\d.]+), ([\d.]+)\]/g;

const named = (label) => `“${label}”`;
const escaped = (text) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
const typed = (value) => value.replace(/^"(.*)"$/, "$1")
  .replace(/^\[(\[.*\])\]$/, "$1").replace(POINT, (_, flow, head) => `${Number(flow)}\u00a0L/h at ${Number(head)}\u00a0m`);

/** The words of the table in which a place is. */
function tableAt(parts) {
  if (parts[1] === "typical_day") return KEYS.TypicalDay;
  if (parts[0] !== "loads") return TABLES[parts[0]] ?? {};
  if (parts.includes("spans")) return SPAN;
  return { lift: KEYS.Lift, variants: KEYS.Variant }[parts[2]] ?? KEYS.Load;
}

const isQuantity = (word) => WORDS.value("measures", word) !== word;

/** Keys that can be no words of a sentence, by their fields' names. */
const long = (text) => text.replace(/\b[a-z]+(?:_[a-z0-9]+)+\b/g, (key) => {
  if (LABELS.get(key)) return named(LABELS.get(key));
  return isQuantity(key) ? key.replace("_", " ") : key;
});

/** A sentence without pairs, headers and keys; `key` is that of the field which it is about. */
function plain(text, labelOf) {
  return long(text.replace(PAIR, (_, key, value) => `${labelOf(key)} ${typed(value)}`).replace(HEADER, (_, path) => path.split(".").pop()));
}

/** {level, where, message, mend} in the words of the form. */
export function inForm(finding) {
  const parts = String(finding.where ?? "").split(".");
  const key = parts.at(-1);
  const table = tableAt(parts);
  const labelOf = (one) => {
    const label = table[one]?.label ?? (parts.at(-2) === "limits" ? KEYS.Load[`limits.${one}`]?.label : undefined) ?? LABELS.get(one);
    return label ? named(label) : one;
  };
  const own = labelOf(key) === key ? "" : labelOf(key);
  const begin = new RegExp(`^${escaped(key)}(?= is |: | has | names )`);
  const message = plain(
    finding.message
      .replace(/^\[+[^\]]+\]+ has no (\w+) \(.*\); it needs /, (_, one) => `${labelOf(one)} is empty; it needs `)
      .replace(begin, own || "it").replace(/^it: /, "")
      .replace(/^(\S+|“[^”]*”) is ("(?:[^"\\]|\\.)*"|\S+), an? (?:text|(?:whole )?number|truth value);/, "$1 is $2;")
      .replace(/ in quotes\b/g, ""),
    labelOf,
  );
  const mend = plain(
    (finding.mend ?? "")
      .replace(/^write \[+(?:[^\]]+\.)?([^\].]+)\]+$/, "write $1")
      .replace(PAIR, (pair, one, value) => (one === key ? typed(value) : pair))
      .replace(/^add (?!\w+ = |\[)/, "fill in a value like ")
      .replace(new RegExp(`\\b(?:delete|leave out) ${escaped(key)}\\b`), `leave ${own || "it"} empty`),
    labelOf,
  );
  // What to write is told once.
  return { ...finding, message, mend: mend.startsWith("write it like") && /: write .* like /.test(message) ? "" : mend };
}
