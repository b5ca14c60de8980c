/** Findings, worst first: what is so, where, and what to do about it. */

import { make } from "/static/dom.js";
import { WORDS } from "/static/words/dry-run-findings.js";
import { sentence } from "/static/words/sentences.js";

/** Findings as a list; those that say the same of several places are told once. */
export function findingsList(findings) {
  const list = make("ul", "plain findings");
  list.setAttribute("role", "list");
  for (const { level, message, mend, places } of together(findings)) {
    const head = make("strong", "finding-level", levelWord(level, places));
    const where = make("span", "finding-where", places.join(", "));
    const item = make("li", "finding", make("p", "", head, " ", where), make("p", "", sentence(message)));
    if (mend) item.append(make("p", "finding-mend", WORDS.mend(mend)));
    item.dataset.level = level;
    list.append(item);
  }
  return list;
}

/** A limit that the plan states, and the run broke, is an error of the run and not of the plan. */
const levelWord = (level, places) =>
  (level === "error" && places.every((place) => /(^|\.)limits\./.test(place)) ? WORDS.limit : WORDS.levels[level]);

function together(findings) {
  const found = new Map();
  for (const { level, message, mend, where, line } of findings) {
    const key = JSON.stringify([level, message, mend]);
    if (!found.has(key)) found.set(key, { level, message, mend, places: [] });
    const place = line ? WORDS.placeWithLine(where, line) : where;
    if (place) found.get(key).places.push(place);
  }
  return [...found.values()];
}

/** How many findings of each level there are, in words. */
export const countWords = (findings) =>
  WORDS.findingCounts(
    ["error", "warning", "note"].map((level) => findings.filter((one) => one.level === level).length),
  );
