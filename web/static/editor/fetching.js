/** Parts of the form that nobody sees at first, and the style that they share. */

import { make } from "/static/dom.js";

const PARTS = ["piece", "load_settings", "new_load", "new_variant", "variant_settings", "rest"];
const STYLE = "/static/editor/more.css";
let styled = null;

/** The module `editor/NAME.js`, when it and its style are there. Throws where they cannot be had. */
export async function fetched(name) {
  styled ??= fetchStyle();
  const [part] = await Promise.all([import(`/static/editor/${name}.js`), styled]);
  return part;
}

/** From the first touch or key in an element on, all parts are fetched: the connection may be gone
 * when they are wanted. */
export function fetchAtFirstTouch(home) {
  const end = new AbortController();
  const fetchAll = () => {
    end.abort();
    for (const name of PARTS) fetched(name).catch(() => {}); // whoever wants it then is told
  };
  for (const name of ["pointerdown", "keydown"]) home.addEventListener(name, fetchAll, { signal: end.signal });
}

function fetchStyle() {
  const link = make("link");
  link.rel = "stylesheet";
  link.href = STYLE;
  return new Promise((resolve, reject) => {
    link.addEventListener("load", resolve);
    link.addEventListener("error", () => {
      link.remove();
      styled = null;
      reject(new Error(STYLE));
    });
    document.head.append(link);
  });
}
