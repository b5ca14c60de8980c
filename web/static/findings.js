/** Findings of a plan or of a run: how grave each is, and how it is drawn. */

import { make, prose } from "/static/dom.js";
import { GRADES, countOf, mendWords } from "/static/words/findings.js";
import { sentence } from "/static/words/sentences.js";

/** Grades, the gravest first. */
export const ORDER = Object.keys(GRADES);

// What a plan wants to be left to roots is a limit as well.
const LIMIT = /(^|\.)limits\.|^stands\.[^.]+\.reserve$/;

/** How grave a finding is: its level, or "limit" where what went wrong is a limit of the plan. */
export const gradeOf = ({ level, where }) =>
  (level === "error" && LIMIT.test(where) ? "limit" : level);

/** `1 limit broken, 2 notes`: how many there are of each grade. */
export function countWords(findings) {
  const grades = findings.map(gradeOf);
  const counts = ORDER.map((grade) => [grade, grades.filter((one) => one === grade).length]);
  return counts.filter(([, count]) => count > 0).map((one) => countOf(...one)).join(", ");
}

/** A finding as the item of a list: what it is called, where it is, what is so, how to mend it, and
 * elements that belong to it. */
export function findingItem({ grade, place, message, mend }, ...more) {
  const head = make("p", "finding-head", make("strong", "finding-grade", GRADES[grade]));
  if (place) head.append(" ", make("span", "finding-where", place));
  const item = make("li", "finding", head, make("p", "finding-message", ...prose(sentence(message))));
  if (mend) item.append(make("p", "finding-mend", ...prose(mendWords(mend))));
  item.dataset.grade = grade;
  item.append(...more);
  return item;
}
