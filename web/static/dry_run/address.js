/** What is chosen, as the query of the page's address, so that back, reload and bookmarks bring it
 * back. Files and fault scripts are too long for an address: it only says that there is one. */

import { isDate } from "/static/dry_run/dates.js";

export const DAYS_MAX = 3_660;
const DAYS_FIRST = 7;
const WAYS = { weather: ["typical", "file"], faults: ["none", "form", "text"] };

/** Choices that nobody has made yet. A plan is `running`, `draft`, `file`, the number of a revision,
 * or for the second one `none`; `from` is a date, or "" for today; `days` may be any text. */
const firstChoice = () => ({
  plan: "running", compare: "none", from: "", days: String(DAYS_FIRST), weather: "typical", faults: "none",
});

/** The choices of a query. What does not fit is left as nobody chose it, but for the days: these stay
 * as they are, and their field tells what is wrong. */
export function choiceOf(query) {
  const params = new URLSearchParams(query);
  const choice = firstChoice();
  choice.plan = planIn(params, "plan", "revision", ["running", "draft", "file"]) ?? choice.plan;
  choice.compare =
    planIn(params, "compare", "compare-revision", ["running", "draft", "file"]) ?? choice.compare;
  const from = params.get("from") ?? "";
  if (isDate(from)) choice.from = from;
  choice.days = (params.get("days") ?? choice.days).slice(0, 20);
  for (const [key, ways] of Object.entries(WAYS)) {
    if (ways.includes(params.get(key))) choice[key] = params.get(key);
  }
  return choice;
}

function planIn(params, key, revisionKey, known) {
  const revision = params.get(revisionKey) ?? "";
  if (/^[1-9]\d{0,8}$/.test(revision)) return Number(revision);
  return known.includes(params.get(key)) ? params.get(key) : null;
}

/** The query of choices: `?plan=draft&days=7`, without what is as nobody chose it. */
export function queryOf(choice) {
  const params = new URLSearchParams();
  const first = firstChoice();
  const put = (key, value) => value !== first[key] && params.set(key, value);
  for (const [key, revisionKey] of [["plan", "revision"], ["compare", "compare-revision"]]) {
    if (typeof choice[key] === "number") params.set(revisionKey, choice[key]);
    else put(key, choice[key]);
  }
  for (const key of ["from", "days", "weather", "faults"]) put(key, choice[key]);
  return params.size ? `?${params}` : "";
}

/** The number of days, or null where the text is none from 1 to DAYS_MAX. */
export function daysIn(text) {
  const days = /^\d{1,6}$/.test(text.trim()) ? Number(text) : 0;
  return days >= 1 && days <= DAYS_MAX ? days : null;
}
