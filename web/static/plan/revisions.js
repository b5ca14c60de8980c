/** The plans that were in force before: looked at, compared, put into force again. */

import { get } from "/static/api.js";
import { button, make, write } from "/static/dom.js";
import { difference, numbered } from "/static/plan/difference.js";
import { momentOf } from "/static/plan/edited.js";
import { restore } from "/static/plan/restoring.js";
import { WORDS } from "/static/words/plan_earlier.js";

/** Draws the list into `home` while `folder`, which holds it, is open; and goes on doing so. */
export function draw(folder, home, draft) {
  const problem = make("p", "problem");
  const list = make("ol", "plain revisions");
  list.setAttribute("role", "list");
  home.append(problem, list);
  let drawnFor = null;
  const redraw = async () => {
    const key = `${draft.inForce?.revision} ${draft.rights.mayOrder}`;
    if (!folder.open || drawnFor === key) return;
    drawnFor = key;
    try {
      const { revisions } = await get("/plan/revisions");
      write(problem, "");
      list.replaceChildren(...revisions.map((one, at) => itemOf(one, revisions[at - 1], draft)).reverse());
    } catch (refusal) {
      drawnFor = null; // opening it again asks again
      write(problem, WORDS.revisionsUnread(refusal.message));
    }
  };
  folder.addEventListener("toggle", redraw);
  draft.onChange(redraw);
  redraw();
}

function itemOf(one, before, draft) {
  const number = one.revision;
  const title = make("h3", "", WORDS.revision(number));
  const about = make("p", "hint", `${momentOf(Date.parse(one.taken_utc))} · ${one.how}`);
  const shown = make("div", "revision-shown");
  const acts = make("div", "choices");
  const item = make("li", "revision", title, about);
  if (one.is_in_force) title.append(" ", make("strong", "in-force", WORDS.isInForce));
  if (one.note) item.append(make("p", "note", one.note));
  const unfold = unfolder(shown);
  acts.append(unfold(WORDS.view, WORDS.viewRevision(number), async () => [numbered(await textOf(number))]));
  if (before) {
    acts.append(unfold(WORDS.compareBefore, WORDS.compareBeforeOf(number), () => compared(before.revision, number)));
  }
  if (!one.is_in_force) acts.append(...actsOfEarlier(number, unfold, draft));
  item.append(acts, shown);
  return item;
}

function actsOfEarlier(number, unfold, draft) {
  const { inForce, rights } = draft;
  const acts = [];
  if (inForce !== null) {
    acts.push(unfold(WORDS.compareInForce, WORDS.compareInForceOf(number), () => compared(number, inForce.revision)));
  }
  if (rights.mayOrder) {
    const again = button("quiet", WORDS.restore, () => restore(draft, number));
    again.setAttribute("aria-label", WORDS.restoreRevision(number));
    acts.push(again);
  }
  return acts;
}

/** Makes buttons of which at most one has unfolded what it shows, into `home`. */
function unfolder(home) {
  let open = null;
  const fold = () => {
    open?.setAttribute("aria-expanded", "false");
    open = null;
    home.replaceChildren();
  };
  return (text, name, fill) => {
    const control = button("quiet", text, async () => {
      const wasOpen = open === control;
      fold();
      if (wasOpen) return;
      open = control;
      control.setAttribute("aria-expanded", "true");
      const parts = await filled(fill);
      if (open === control) home.replaceChildren(...parts);
    });
    control.setAttribute("aria-label", name);
    control.setAttribute("aria-expanded", "false");
    return control;
  };
}

async function filled(fill) {
  try {
    return await fill();
  } catch (refusal) {
    return [make("p", "problem", WORDS.revisionUnread(refusal.message))];
  }
}

const textOf = async (number) => (await get(`/plan/revisions/${number}`)).text;

async function compared(before, after) {
  const [first, second] = await Promise.all([textOf(before), textOf(after)]);
  return [make("p", "hint", WORDS.fromTo(before, after)), difference(first, second)];
}
