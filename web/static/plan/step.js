/** A question with more to it than a sentence: what is shown, and what may be done about it. */

import { button, byId, write } from "/static/dom.js";

/** Asks; resolves with the name of the action taken, or null where it was closed.
 *
 * - `title`: what it is about; `body`: elements;
 * - `actions`: [{name, text, className, isFit}]; `isFit()`, where given, says whether the action
 *   may be taken yet, and shows what is missing if not. */
export function ask({ title, body, actions }) {
  const dialog = byId("step");
  write(byId("step-title"), title);
  byId("step-body").replaceChildren(...body);
  return new Promise((resolve) => {
    let taken = null;
    const control = ({ name, text, className, isFit = () => true }) => button(className, text, () => {
      if (!isFit()) return;
      taken = name;
      dialog.close();
    });
    byId("step-buttons").replaceChildren(...actions.map(control));
    dialog.addEventListener("close", () => resolve(taken), { once: true });
    dialog.showModal();
    dialog.scrollTop = 0;
    byId("step-title").focus();
  });
}
