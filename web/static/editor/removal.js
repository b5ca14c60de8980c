/** Taking something out of the draft: who speaks of it is told before. */

import { make } from "/static/dom.js";
import { isSure, tell } from "/static/frame/orders.js";
import { refusalLines } from "/static/editor/findings.js";
import { namedBy } from "/static/editor/named.js";
import { inForm } from "/static/words/in_form.js";
import { ended } from "/static/words/sentences.js";
import { WORDS as NAMED } from "/static/words/removal.js";
import { WORDS } from "/static/words/settings.js";

/** Takes what stands at a place out of the draft, and says so. */
export async function removed(desk, at, words) {
  return take(desk, [{ do: "remove", at }], words);
}

/** Takes what has a name in a list out of the draft. What needs it keeps it there, and what could do
 * without it is asked about first. */
export async function removedByName(desk, list, name) {
  await desk.draft.edited(); // the last of them may be that nothing names it any more
  const found = namedBy(desk.draft.document, list, name);
  const told = (one) => NAMED.namedBy[one.key](one.variant === undefined ? one.owner : NAMED.ofVariant(one.owner, one.variant));
  const needing = found.filter(({ way }) => way === "needs");
  if (needing.length) {
    tell(NAMED.stays(name, [...new Set(needing.map(told))]), { isProblem: true });
    return false;
  }
  const lines = make("ul", "", ...found.map((one) => make("li", "", NAMED.then[one.way](told(one)))));
  const question = {
    title: NAMED.sure(name), text: NAMED.sureText(name), yes: NAMED.sureYes, no: NAMED.sureNo, more: [lines],
  };
  if (found.length && !(await isSure(question))) return false;
  const without = found.filter(({ way }) => way === "without").map(({ at }) => ({ do: "remove", at }));
  return take(desk, [...without, { do: "remove", at: `${list}.${name}` }], WORDS.toldRemoved(name));
}

async function take(desk, edits, words) {
  const answer = await desk.draft.edit(edits, words);
  if (answer.isDone) tell(words, { undoing: () => desk.draft.undo() });
  else tell(ended(inForm(refusalLines(answer)[0]).message), { isProblem: true });
  return answer.isDone;
}
