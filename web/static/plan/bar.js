/** Undo, redo, discard and save, always in sight while there is something for them to do. */

import { button, make, show } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { planPart } from "/static/plan/parts.js";
import { WORDS } from "/static/words/plan.js";

let isSaving = false;

/** Draws the controls, and goes on doing so. */
export function drawBar(home, draft) {
  const undo = button("quiet", WORDS.undo, () => draft.undo());
  const redo = button("quiet", WORDS.redo, () => draft.redo());
  const discard = button("quiet", WORDS.discard, () => discardAll(draft));
  const save = () => saveAll(draft, draw);
  const keep = button("strong", WORDS.save, save);
  discard.setAttribute("aria-label", WORDS.discardIt);
  const row = make("div", "draft-bar", undo, redo, discard, keep);
  home.append(row);
  const draw = () => {
    const hasSome = draft.isChanged || draft.canUndo || draft.canRedo;
    show(row, draft.rights.mayOrder && hasSome);
    drawStep(undo, WORDS.undo, WORDS.undoIt, draft.canUndo, draft.undoWords);
    drawStep(redo, WORDS.redo, WORDS.redoIt, draft.canRedo, draft.redoWords);
    setAble(discard, draft.isChanged);
    setAble(keep, draft.isChanged && !isSaving);
  };
  draft.onChange(draw);
  addEventListener("keydown", (event) => takeKey(event, draft, save));
  draw();
}

function drawStep(control, plain, named, isAble, what) {
  setAble(control, isAble);
  const name = what ? named(what) : plain;
  control.setAttribute("aria-label", name);
  control.title = name;
}

/** A control that has focus keeps it: one that is disabled would lose it to the page's start. */
function setAble(control, isAble) {
  control.setAttribute("aria-disabled", String(!isAble));
}

async function saveAll(draft, draw) {
  if (isSaving || !draft.isChanged || !draft.rights.mayOrder) return;
  isSaving = true;
  draw();
  try {
    await (await planPart("saving")).save(draft);
  } catch (problem) {
    tell(WORDS.notSaved(problem.message), { isProblem: true });
  } finally {
    isSaving = false;
    draw();
  }
}

async function discardAll(draft) {
  if (!draft.isChanged) return;
  await draft.discard();
  tell(WORDS.discarded);
}

/** The keys that every editor has; text fields undo what is typed in them by themselves. */
function takeKey(event, draft, save) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || document.querySelector("dialog[open]")) return;
  const key = event.key.toLowerCase();
  const act = { s: save, z: () => (event.shiftKey ? draft.redo() : draft.undo()), y: () => draft.redo() }[key];
  const isTyping = event.target.matches("input, textarea, select");
  if (!act || (key !== "s" && isTyping)) return;
  event.preventDefault();
  act();
}
