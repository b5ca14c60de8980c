/** Parts of the view that nobody sees at first: fetched when they are wanted, or when somebody
 * begins to do something, whichever comes first. */

import { make } from "/static/dom.js";
import { Problem } from "/static/api.js";
import { WORDS } from "/static/words/frame.js";

const PARTS = ["saving", "as_text", "difference"];
const STYLE = "/static/plan_more.css";
let styled = null;

/** The module `plan/NAME.js`, and the style that such parts share. Throws a Problem where they
 * cannot be fetched. */
export async function later(name) {
  try {
    styled ??= fetchStyle();
    const [part] = await Promise.all([import(`/static/plan/${name}.js`), styled]);
    return part;
  } catch (error) {
    styled = null;
    reportError(error);
    throw new Problem(WORDS.unreachable, 0, "unreachable");
  }
}

/** From the first touch or key on, what may be wanted next is fetched: the connection may be gone
 * by then. */
export function fetchAtFirstTouch() {
  const fetchAll = () => {
    end.abort();
    for (const name of PARTS) later(name).catch(() => {}); // whoever wants it is told
  };
  const end = new AbortController();
  for (const name of ["pointerdown", "keydown"]) addEventListener(name, fetchAll, { signal: end.signal });
}

function fetchStyle() {
  const link = make("link");
  link.rel = "stylesheet";
  link.href = STYLE;
  return new Promise((resolve, reject) => {
    link.addEventListener("load", resolve);
    link.addEventListener("error", () => {
      link.remove();
      reject(new Error(STYLE));
    });
    document.head.append(link);
  });
}
