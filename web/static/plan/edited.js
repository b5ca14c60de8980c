/** What is being edited, in a few words, and what changed so far. */

import { make, show, write } from "/static/dom.js";
import { clockMinute, dayOf } from "/static/moments.js";
import { planPart } from "/static/plan/parts.js";
import { WORDS } from "/static/words/plan.js";

/** Draws what is being edited, and goes on doing so. */
export function drawEdited(title, home, draft) {
  const about = make("p", "hint");
  const changes = make("details", "seen-changes", make("summary", "", WORDS.seeChanges));
  const count = make("p", "hint");
  const rows = make("div");
  changes.append(count, rows);
  home.append(about, changes);
  const drawRows = async () => {
    if (!changes.open || !draft.isChanged) return;
    const { countChanges, difference } = await planPart("difference");
    const { gone, come } = countChanges(draft.base.text, draft.text);
    write(count, WORDS.linesChanged(gone, come));
    rows.replaceChildren(difference(draft.base.text, draft.text));
  };
  const draw = () => {
    const { revision } = draft.base;
    write(title, draft.isChanged ? WORDS.editedChanged(revision) : WORDS.editedInForce(revision));
    write(about, aboutWords(draft));
    show(changes, draft.isChanged);
    drawRows();
  };
  changes.addEventListener("toggle", drawRows);
  draft.onChange(draw);
  draw();
}

function aboutWords(draft) {
  if (!draft.rights.mayOrder) return WORDS.guest;
  if (!draft.isChanged) return [sinceWords(draft.inForce), WORDS.nothingChanged].filter(Boolean).join(" ");
  const kept = draft.isKept ? WORDS.keptHere : WORDS.notKept;
  if (draft.keptMs === null) return kept;
  return `${WORDS.keptFrom(momentOf(draft.keptMs))} ${kept}`;
}

/** Since when a plan runs, in words; "" where that is not known. */
export function sinceWords(inForce) {
  const takenMs = Date.parse(inForce?.taken_utc ?? "");
  if (Number.isNaN(takenMs)) return "";
  return WORDS.since(momentOf(takenMs));
}

/** `Sat 28 Nov, 22:11`. */
export const momentOf = (ms) => `${dayOf(ms)}, ${clockMinute(ms)}`;
