/** Saving: what must be known, read or said before the controller is asked to take the draft. */

import { Problem } from "/static/api.js";
import { byId, make, write } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { planPart } from "/static/plan/parts.js";
import { cautionParts, documentOf, newMainsLoads, touchedMainsLoads } from "/static/plan/mains.js";
import { findingList } from "/static/plan/places.js";
import { ask } from "/static/plan/step.js";
import { WORDS } from "/static/words/plan_saving.js";

const NOTE_LENGTH_MAX = 200;
const LONG_MS = 1_500;
let haveCautionsBeenSeen = false;

/** Saves the draft, asking what must be asked; tells how it went. */
export async function save(draft) {
  try {
    await draft.settled();
    if (!draft.isJudged) tell(WORDS.notJudged, { isProblem: true });
    else if (!draft.isFit) await showErrors(draft.findings);
    else if (draft.isBehind) await tellConflict();
    else if (await haveCautionsBeenRead(draft)) await send(draft, "");
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    tell(WORDS.notSaved(problem.message), { isProblem: true });
  }
}

async function showErrors(findings) {
  const errors = findings.filter((finding) => finding.level === "error");
  const body = [make("p", "", WORDS.errorsText(errors.length)), findingList(errors, () => byId("step").close())];
  await ask({ title: WORDS.errorsTitle, body, actions: [{ name: "close", text: WORDS.close, className: "strong" }] });
}

async function tellConflict() {
  tell(WORDS.conflict, { isProblem: true });
  await planPart("meanwhile"); // it draws where the choice is
  const home = byId("meanwhile");
  home.scrollIntoView({ block: "start" });
  home.querySelector("h2")?.focus();
}

/** Cautions are read before a load that may switch mains is added or wired anew, and once in a
 * window before anything else of such a load changes. */
async function haveCautionsBeenRead(draft) {
  const before = await documentOf(draft.base.text);
  const wired = newMainsLoads(before, draft.document);
  const touched = touchedMainsLoads(before, draft.document);
  if (!wired.length && (!touched.length || haveCautionsBeenSeen)) return true;
  const body = cautionParts(wired.length ? wired : touched);
  haveCautionsBeenSeen = (await ask({ title: WORDS.mainsTitle, body, actions: yesOrNo() })) === "yes";
  return haveCautionsBeenSeen;
}

const yesOrNo = (isFit) => [
  { name: "yes", text: WORDS.saveYes, className: "strong", isFit },
  { name: "no", text: WORDS.saveNo, className: "quiet" },
];

async function send(draft, note) {
  const patience = setTimeout(() => tell(WORDS.savingLong), LONG_MS);
  let taken;
  try {
    taken = await draft.save(note);
  } catch (problem) {
    if (problem.kind === "plan-changed") await tellConflict();
    else if (problem.kind === "plan-refused" && !note) await askReason(draft, problem.more.findings ?? []);
    else tellFailure(problem);
    return;
  } finally {
    clearTimeout(patience);
  }
  const words = taken.is_new ? WORDS.saved(taken.revision) : WORDS.savedSame;
  const undoing = taken.is_new ? () => undoSave(draft, taken.before) : null;
  tell([words, ...taken.remarks].join(" "), { undoing });
}

/** The plan breaks a limit that it states: it may run all the same if somebody says why. */
async function askReason(draft, findings) {
  const field = make("input");
  Object.assign(field, { type: "text", id: "reason", maxLength: NOTE_LENGTH_MAX, autocomplete: "off" });
  const label = make("label", "", WORDS.reasonLabel);
  label.htmlFor = "reason";
  const missing = make("p", "problem");
  missing.setAttribute("role", "alert");
  const isFit = () => {
    const hasSome = field.value.trim() !== "";
    write(missing, hasSome ? "" : WORDS.reasonMissing);
    if (!hasSome) field.focus();
    return hasSome;
  };
  const list = findingList(findings, () => byId("step").close());
  const body = [make("p", "", WORDS.reasonText), list, label, field, make("p", "hint", WORDS.reasonHint), missing];
  const answer = await ask({ title: WORDS.reasonTitle, body, actions: yesOrNo(isFit) });
  tell("");
  if (answer === "yes") await send(draft, field.value.trim());
}

function tellFailure(problem) {
  const isUnknown = problem.kind === "unreachable" || problem.kind === "too-slow";
  tell(isUnknown ? WORDS.notSavedUnknown : WORDS.notSaved(problem.message), { isProblem: true });
}

async function undoSave(draft, before) {
  try {
    const { revision } = await draft.restore(before, { asDraft: true });
    tell(WORDS.saveUndone(revision));
  } catch (problem) {
    tell(WORDS.notRestored(problem.message), { isProblem: true });
  }
}
