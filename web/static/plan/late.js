/** What the first paint does without: the form, the preview, and all that opens in them. It is
 * fetched right after that paint, so that everything goes on working when the connection is lost. */

import { Problem } from "/static/api.js";
import { fetchAfterPaint, painted } from "/static/after_paint.js";
import { byId, make } from "/static/dom.js";
import { later } from "/static/later.js";
import { planParts } from "/static/plan/parts.js";
import { WORDS } from "/static/words/plan.js";

let tries = null; // the fetching and drawing that is going on
let firstPreview = null;
let isWhole = false;

/** A part that has a place of its own in the markup. */
class Part {
  constructor(homeId, path, style, act) {
    Object.assign(this, { homeId, path, style, act, isDrawn: false });
  }

  fetched() {
    return later(this.path, this.style);
  }

  /** Draws it once. Where it cannot be fetched, its place says so. */
  async draw(draft) {
    if (this.isDrawn) return;
    const home = byId(this.homeId);
    try {
      const part = await this.fetched();
      this.isDrawn = true;
      part[this.act](home, draft);
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      home.replaceChildren(make("p", "problem", WORDS.missing(WORDS.late[this.homeId], problem.message)));
    }
  }
}

const EDITOR = new Part("editor", "/static/editor/editor.js", "/static/editor.css", "drawEditor");
const PREVIEW = new Part("preview", "/static/preview/preview.js", "/static/preview.css", "drawPreview");
const PARTS = [EDITOR, PREVIEW];

/** Asks for the parts as soon as something is painted. */
export async function fetchLate() {
  await fetchAfterPaint();
  await Promise.allSettled(PARTS.map((part) => part.fetched())); // whoever draws them asks again
}

/** Draws the parts of a draft that are not there yet, then fetches what opens in them. Call it
 * again whenever the connection may be back: what is missing is asked for again. Resolves with
 * whether all is there. */
export function drawLate(draft) {
  tries ??= drawMissing(draft).finally(() => {
    tries = null;
  });
  return tries;
}

async function drawMissing(draft) {
  if (isWhole) return true;
  await painted;
  await Promise.all(PARTS.map((part) => part.draw(draft)));
  if (!PARTS.every(({ isDrawn }) => isDrawn)) return false;
  firstPreview ??= previewed(draft);
  await firstPreview;
  const { formParts } = await EDITOR.fetched();
  const told = await Promise.allSettled([...planParts(), ...formParts()]);
  isWhole = told.every(({ status }) => status === "fulfilled");
  return isWhole;
}

/** Resolves when no preview is on its way: what is seen at once comes before what may be opened. */
const previewed = (draft) => new Promise((resolve) => {
  const look = () => draft.isPreviewing || resolve();
  draft.onPreview(look);
  look();
});
