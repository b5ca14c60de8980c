/** What the plan's reader finds, beside the part of the form that it is about. */

import { make, prose, show } from "/static/dom.js";
import { WORDS } from "/static/words/editor.js";
import { inForm } from "/static/words/in_form.js";
import { ended } from "/static/words/sentences.js";

function line(finding) {
  const { level, message, mend } = inForm(finding);
  const item = make("li", `finding is-${level}`, make("strong", "", WORDS.levels[level] ?? level), " ", ...prose(ended(message)));
  if (mend) item.append(make("span", "mend", " ", ...prose(WORDS.mend(mend))));
  return item;
}

/** Writes findings into a list, where they differ from what stands there. */
export function listFindings(list, findings) {
  const told = JSON.stringify(findings);
  if (list.told === told) return;
  list.told = told;
  list.replaceChildren(...findings.map(line));
  show(list, findings.length > 0);
}

/** A refused edit, as findings. */
export function refusalLines(refusal) {
  if (refusal === null) return [];
  const errors = (refusal.findings ?? []).filter(({ level }) => level === "error");
  return errors.length ? errors : [{ level: "error", message: refusal.message, mend: "" }];
}

/** {element, list}: a list whose lines are read out as soon as they come. */
export function alerting() {
  const list = make("ul", "plain findings");
  list.setAttribute("role", "list");
  const element = make("div", "", list);
  element.setAttribute("role", "alert");
  return { element, list };
}

/** Where findings can stand: each place of the plan that the form shows has a list. */
export class Places {
  constructor() {
    this.homes = new Set();
  }

  /** A list for the findings about a place and what is within it; `home.dataset.at` may change. */
  home(at = "") {
    const list = make("ul", "plain findings");
    list.setAttribute("role", "list");
    list.dataset.at = at;
    list.hidden = true;
    this.homes.add(list);
    return list;
  }

  /** The list nearest to a place that is in sight: its own, or that of what it is within. */
  nearest(where) {
    const seen = new Map();
    for (const home of this.homes) {
      if (!home.isConnected) this.homes.delete(home);
      else if (home.parentElement.checkVisibility()) seen.set(home.dataset.at, home);
    }
    const parts = String(where).split(".");
    for (; parts.length; parts.pop()) {
      const home = seen.get(parts.join("."));
      if (home !== undefined) return home;
    }
    return seen.get("") ?? null;
  }

  /** Shows all of them, each at the nearest place. */
  draw(findings) {
    const told = new Map();
    for (const finding of findings) {
      const home = this.nearest(finding.where);
      if (home !== null) told.set(home, [...(told.get(home) ?? []), finding]);
    }
    for (const home of this.homes) listFindings(home, told.get(home) ?? []);
  }
}
