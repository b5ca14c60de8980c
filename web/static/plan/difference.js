/** What changed between two texts, line by line, to be read. */

import { make } from "/static/dom.js";
import { differenceRows } from "/static/plan/lines.js";
import { WORDS } from "/static/words/plan_earlier.js";

const SIGN_CLASS = { "-": "gone", "+": "come", " ": "same", "…": "left-out" };
const SIGN_WORD = { "-": WORDS.lineGone, "+": WORDS.lineCome, "…": WORDS.linesLeft };

/** How many lines went and came: {gone, come}. */
export function countChanges(before, after) {
  const rows = differenceRows(before, after, 0);
  const count = (sign) => rows.filter((row) => row.sign === sign).length;
  return { gone: count("-"), come: count("+") };
}

/** The lines that went and came, each with its sign and number, and a few around. */
export function difference(before, after) {
  const rows = differenceRows(before, after);
  if (!rows.length) return make("p", "hint", WORDS.sameText);
  const list = make("ol", "difference plain");
  list.setAttribute("role", "list");
  list.append(...rows.map(rowOf));
  return list;
}

function rowOf({ sign, before, after, text }) {
  const number = make("span", "number", String((sign === "-" ? before : after) ?? ""));
  number.setAttribute("aria-hidden", "true");
  const mark = make("span", "sign", WORDS.signs[sign]);
  mark.setAttribute("aria-hidden", "true");
  const row = make("li", SIGN_CLASS[sign], number, mark);
  if (SIGN_WORD[sign]) row.append(make("span", "unseen", `${SIGN_WORD[sign]} `));
  row.append(make("code", "", text));
  return row;
}

/** A text with its lines numbered, to be looked at. */
export function numbered(text) {
  const list = make("ol", "difference plain");
  list.setAttribute("role", "list");
  const lines = text.replace(/\n$/, "").split("\n");
  list.append(...lines.map((line, i) => rowOf({ sign: " ", before: i + 1, after: i + 1, text: line })));
  return list;
}
