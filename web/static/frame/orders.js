/** Orders of a person: sent, told of, undone. */

import { post } from "/static/api.js";
import { byId, show, write, writeProse } from "/static/dom.js";
import { WORDS } from "/static/words/frame.js";

let live = null;
let undo = null;
let askWhoIsThere = null;

/** Orders go out for this picture; `whoIsThere` is called where one was refused to a stranger. */
export function beginOrders(theLive, whoIsThere) {
  live = theLive;
  askWhoIsThere = whoIsThere;
  byId("undo").addEventListener("click", () => undo?.());
  byId("told-close").addEventListener("click", () => show(byId("told"), false));
}

/** Tells of what was done, or of what went wrong; `undoing`, where given, takes it back. */
export function tell(text, { undoing = null, isProblem = false } = {}) {
  const hadFocus = document.activeElement === byId("undo");
  undo = undoing;
  byId("told").classList.toggle("is-problem", isProblem);
  show(byId("told"), text !== "");
  show(byId("undo"), undoing !== null);
  writeProse(byId("told-text"), text);
  if (hadFocus && undoing === null) byId("told-close").focus();
}

/** Tells those who do not see; nothing shows. */
export const announce = (text) => write(byId("announced"), text);

/** Sends an order and tells of it, unless `text` is empty. True where the controller took it. */
export async function order(path, body, text, { undoing = null, failed = WORDS.failed } = {}) {
  try {
    live.take(await post(path, body));
  } catch (problem) {
    tell(failed(problem.message), { isProblem: true });
    if (problem.status === 401) askWhoIsThere();
    return false;
  }
  tell(text, { undoing });
  return true;
}

/** Asks before something that must not happen by accident; true for yes. `more` are elements that
 * stand below the question. */
export function isSure({ title, text, yes, no, isDangerous = false, more = [] }) {
  const dialog = byId("question");
  byId("question-more").replaceChildren(...more);
  write(byId("question-title"), title);
  write(byId("question-text"), text);
  write(byId("question-yes"), yes);
  write(byId("question-no"), no);
  byId("question-yes").className = isDangerous ? "danger" : "strong";
  return new Promise((resolve) => {
    const end = new AbortController();
    const answer = (isYes) => {
      end.abort();
      dialog.close();
      resolve(isYes);
    };
    const { signal } = end;
    byId("question-yes").addEventListener("click", () => answer(true), { signal });
    byId("question-no").addEventListener("click", () => answer(false), { signal });
    dialog.addEventListener("cancel", () => answer(false), { signal });
    dialog.showModal();
    byId("question-no").focus();
  });
}
