/** Another plan came into force while one was edited: what it changed, and how to go on. */

import { button, make, show } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { difference } from "/static/plan/difference.js";
import { sinceWords } from "/static/plan/edited.js";
import { merge } from "/static/plan/lines.js";
import { WORDS } from "/static/words/plan_meanwhile.js";

/** Draws the choice while there is one, and goes on doing so. */
export function draw(home, draft) {
  let drawn = "";
  let foldedFor = null; // the revision about which is to be decided later
  const fold = (revision) => {
    foldedFor = revision;
    redraw();
    home.querySelector("button")?.focus();
  };
  const redraw = () => {
    const isOn = draft.rights.mayOrder && draft.isBehind;
    show(home, isOn);
    if (!isOn) {
      drawn = "";
      return;
    }
    const { revision } = draft.inForce;
    const isFolded = foldedFor === revision;
    const key = JSON.stringify([revision, draft.base.revision, isFolded, isFolded || draft.text]);
    if (key === drawn) return;
    drawn = key;
    const inside = isFolded ? foldedParts(revision, fold) : parts(draft, fold);
    home.replaceChildren(headline(revision), ...inside);
  };
  draft.onChange(redraw);
  redraw();
}

function headline(revision) {
  const title = make("h2", "", WORDS.meanwhileTitle(revision));
  title.id = "meanwhile-title";
  title.tabIndex = -1;
  return title;
}

function foldedParts(revision, fold) {
  return [button("quiet", WORDS.decide, () => fold(null))];
}

function parts(draft, fold) {
  const { base, inForce, text } = draft;
  const since = [sinceWords(inForce), WORDS.meanwhileText(base.revision)].filter(Boolean).join(" ");
  const theirs = unfolding(WORDS.theirChanges, () => difference(base.text, inForce.text));
  theirs.open = true;
  theirs.append(difference(base.text, inForce.text));
  const yours = unfolding(WORDS.yourChanges, () => difference(base.text, text));
  const { clashes } = merge(base.text, text, inForce.text, "mine");
  const choices = make("div", "choices", ...onTop(draft, clashes.length > 0));
  choices.append(
    button("quiet", WORDS.takeTheirs, () => takeTheirs(draft)),
    button("quiet", WORDS.keepEditing, () => fold(inForce.revision)),
  );
  return [make("p", "", since), theirs, yours, ...clashParts(clashes), choices];
}

function unfolding(title, fill) {
  const home = make("details", "", make("summary", "", title));
  home.addEventListener("toggle", () => home.open && home.children.length === 1 && home.append(fill()));
  return home;
}

function onTop(draft, hasClashes) {
  if (!draft.isChanged) return [];
  if (!hasClashes) return [button("strong", WORDS.onTop, () => putOnTop(draft, "mine"))];
  return [
    button("strong", WORDS.onTopMine, () => putOnTop(draft, "mine")),
    button("quiet", WORDS.onTopTheirs, () => putOnTop(draft, "theirs")),
  ];
}

function clashParts(clashes) {
  if (!clashes.length) return [make("p", "", WORDS.fitsTogether)];
  const list = make("ul", "plain clashes");
  list.setAttribute("role", "list");
  list.append(...clashes.map(({ base, mine, theirs }) => make("li", "", make("dl", "clash",
    ...version(WORDS.clashBase, base), ...version(WORDS.clashMine, mine), ...version(WORDS.clashTheirs, theirs)))));
  return [make("p", "", WORDS.clashes(clashes.length)), list];
}

function version(title, lines) {
  const text = lines.join("\n").trim();
  return [make("dt", "", title), make("dd", "", text ? make("code", "", text) : WORDS.clashNothing)];
}

async function putOnTop(draft, prefer) {
  const { base, inForce, text } = draft;
  await draft.putOnTop(merge(base.text, text, inForce.text, prefer).text);
  tell(WORDS.onTopDone);
}

async function takeTheirs(draft) {
  await draft.discard(WORDS.step);
  tell(WORDS.theirsTaken);
}
