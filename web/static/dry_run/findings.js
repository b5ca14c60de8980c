/** Findings of a plan, or of what came of it, as a list. */

import { make } from "/static/dom.js";
import { findingItem, gradeOf } from "/static/findings.js";
import { placeWords } from "/static/words/findings.js";

/** Findings in the order in which they come; those that say the same of several places are told
 * once. */
export function findingsList(findings) {
  const list = make("ul", "plain findings", ...together(findings).map(
    ({ places, ...finding }) => findingItem({ ...finding, place: places.join(", ") }),
  ));
  list.setAttribute("role", "list");
  return list;
}

function together(findings) {
  const found = new Map();
  for (const finding of findings) {
    const { message, mend, where, line } = finding;
    const grade = gradeOf(finding);
    const key = JSON.stringify([grade, message, mend]);
    if (!found.has(key)) found.set(key, { grade, message, mend, places: [] });
    if (where) found.get(key).places.push(placeWords(where, line));
  }
  return [...found.values()];
}
