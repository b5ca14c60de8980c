/** The view Plan: wires the draft to what shows and changes it. */

import { byId, make, show, write } from "/static/dom.js";
import { raise } from "/static/frame/frame.js";
import { tell } from "/static/frame/orders.js";
import { drawBar } from "/static/plan/bar.js";
import { draft } from "/static/plan/draft.js";
import { drawEdited } from "/static/plan/edited.js";
import { drawLate, fetchLate } from "/static/plan/late.js";
import { planPart } from "/static/plan/parts.js";
import { NAMES, WORDS } from "/static/words/plan.js";

let isDrawn = false;
let isOpening = false;
let wasFresh = false;

function draw(live, rights) {
  const isGained = rights.mayOrder && !draft.rights.mayOrder;
  const isBack = live.isFresh && !wasFresh;
  wasFresh = live.isFresh;
  draft.setRights(rights);
  if (draft.base === null || isGained) {
    open();
    return;
  }
  if (isBack && draft.previewProblem !== null) draft.refresh();
  if (isDrawn) drawLate(draft); // what could not be fetched before may come now
  if (live.isFresh) hear(live.status.plan.revision);
}

/** Whoever edits is told at once of what somebody else saved. */
async function hear(revision) {
  const hadChanges = draft.isChanged;
  if (!(await draft.hear(revision))) return;
  tell(hadChanges && draft.isBehind ? WORDS.meanwhileTold(revision) : WORDS.followed(revision));
}

async function open() {
  if (isOpening) return;
  isOpening = true;
  try {
    await draft.open();
  } catch (problem) {
    write(byId("unread"), WORDS.unread(problem.message));
    show(byId("unread"), true);
    return; // the next picture of the controller is a reason to try again
  } finally {
    isOpening = false;
    show(byId("reading"), false);
  }
  if (!isDrawn) drawAll();
  show(byId("unread"), false);
  show(byId("plan"), true);
}

function drawAll() {
  isDrawn = true;
  drawEdited(byId("edited-title"), byId("edited"), draft);
  drawBar(byId("page-bar"), draft);
  const text = new Folder("text-home", "as-text", "as_text");
  const earlier = new Folder("revisions-home", "revisions", "revisions");
  for (const folder of [text, earlier]) folder.element.addEventListener("toggle", () => folder.fill());
  document.addEventListener("show-line", async ({ detail }) => (await text.fill())?.showLine(detail));
  draft.onChange(drawMeanwhile);
  drawMeanwhile();
  draft.shareWithWindows();
  drawLate(draft);
}

/** Something folded away, whose part is fetched when it is opened for the first time. */
class Folder {
  constructor(id, homeId, name) {
    this.element = byId(id);
    this.home = byId(homeId);
    this.name = name;
    this.filling = null;
  }

  /** Draws it, once; resolves with what its part gives, or null where it could not be fetched. */
  fill() {
    this.filling ??= this.filled();
    return this.filling;
  }

  async filled() {
    this.home.replaceChildren();
    try {
      return (await planPart(this.name)).draw(this.element, this.home, draft);
    } catch (problem) {
      this.filling = null; // opening it again asks again
      this.home.replaceChildren(make("p", "problem", WORDS.unfetched(problem.message)));
      return null;
    }
  }
}

let meanwhile = null;

/** The choice that there is when another plan came into force; its part then draws on by itself. */
async function drawMeanwhile() {
  if (!draft.isBehind || !draft.rights.mayOrder || meanwhile !== null) return;
  meanwhile = planPart("meanwhile");
  try {
    (await meanwhile).draw(byId("meanwhile"), draft);
  } catch {
    meanwhile = null; // the next change asks again; saving would tell as well
  }
}

fetchLate();
raise({
  names: NAMES,
  needsPicture: false,
  draw,
  title: () => (draft.isChanged ? WORDS.titleChanged : WORDS.title),
  leave: () => location.reload(), // whoever comes next may have no right to what was seen
});
