/** An earlier plan put into force again: first what that changes, in words and numbers. */

import { get, post, Problem } from "/static/api.js";
import { make } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { cautionParts, documentOf, newMainsLoads } from "/static/plan/mains.js";
import { findingList } from "/static/plan/places.js";
import { ask } from "/static/plan/step.js";
import { accountColumns } from "/static/preview/account.js";
import { WORDS } from "/static/words/plan_earlier.js";

const PARTS = ["next", "hottest"];

/** Asks whether to put a revision into force again, and does it; it can be undone. */
export async function restore(draft, number) {
  const { body, isFit } = await whatItChanges(draft, number);
  if (draft.isChanged) body.push(make("p", "hint", WORDS.restoreDraftStays));
  const actions = [
    ...(isFit ? [{ name: "yes", text: WORDS.restoreYes, className: "strong" }] : []),
    { name: "no", text: WORDS.restoreNo, className: "quiet" },
  ];
  const answer = await ask({ title: WORDS.restoreTitle(number), body, actions });
  if (answer === "yes") await carryOut(draft, number);
}

async function carryOut(draft, number) {
  tell(WORDS.restoring);
  try {
    const { revision, before, remarks } = await draft.restore(number);
    const undoing = before === undefined ? null : () => undo(draft, before);
    tell([WORDS.restored(number, revision), ...remarks].join(" "), { undoing });
  } catch (problem) {
    tell(WORDS.notRestored(problem.message), { isProblem: true });
  }
}

async function undo(draft, before) {
  try {
    const { revision } = await draft.restore(before);
    tell(WORDS.restoreUndone(revision));
  } catch (problem) {
    tell(WORDS.notRestored(problem.message), { isProblem: true });
  }
}

/** The question's body, and whether the plan may run at all. */
async function whatItChanges(draft, number) {
  let told;
  let inForce;
  try {
    const { text } = await get(`/plan/revisions/${number}`);
    told = await post("/plan/preview", { text, parts: PARTS });
    inForce = draft.inForce === null ? null : await documentOf(draft.inForce.text);
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    return { body: [make("p", "problem", WORDS.restoreUnknown(problem.message))], isFit: true };
  }
  if (!told.is_fit) {
    return { body: [make("p", "problem", WORDS.restoreUnfit), findingList(told.findings)], isFit: false };
  }
  const mains = newMainsLoads(inForce, told.document);
  const cautions = mains.length ? [make("h3", "", WORDS.mainsTitle), ...cautionParts(mains)] : [];
  return { body: [...comparison(told), ...cautions], isFit: true };
}

/** What differs on paper, in words and numbers, and which limits are broken there. */
function comparison({ days, running }) {
  const broken = days.flatMap((day) => day.findings).filter(({ level }) => level === "error");
  const told = broken.length ? [make("p", "problem", WORDS.restoreBroken), findingList(broken)] : [];
  if (!days.some((day) => isOther(day, running))) return [make("p", "", WORDS.restoreSame), ...told];
  const table = make("div");
  const columns = days.map((day, at) => ({
    title: day.part === "next" ? WORDS.dayNext : WORDS.dayHottest, first: running?.days[at] ?? null, second: day,
  }));
  accountColumns(table, columns, { isWhole: false });
  return [make("p", "", WORDS.restoreText), table, ...told];
}

const isOther = (day, running) => running === null || day.loads.some((load) => load.changed)
  || Object.values(day.compared ?? {}).some(({ second }) => second === null);
