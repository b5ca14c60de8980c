/** Findings as a list, each with a way to the place that it is about. */

import { button, make } from "/static/dom.js";
import { WORDS } from "/static/words/plan_text.js";
import { sentence } from "/static/words/sentences.js";

/** A list of findings; `beforeGoing()` is called before one leads to its line. */
export function findingList(findings, beforeGoing = () => {}) {
  const list = make("ul", "plain findings-told");
  list.setAttribute("role", "list");
  list.append(...findings.map((finding) => lineOf(finding, beforeGoing)));
  return list;
}

function lineOf({ level, where, line, message, mend }, beforeGoing) {
  const item = make("li", `told-finding is-${level}`, make("p", "", make("strong", "", WORDS.level[level])));
  if (where) item.firstChild.append(" ", make("code", "", where));
  item.append(make("p", "", sentence(message)));
  if (mend) item.append(make("p", "", sentence(mend)));
  if (line !== null) {
    item.append(button("quiet", WORDS.toLine(line), () => {
      beforeGoing();
      document.dispatchEvent(new CustomEvent("show-line", { detail: line }));
    }));
  }
  return item;
}
