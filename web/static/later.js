/** Modules and styles that are fetched when they are first wanted. */

import { Problem } from "/static/api.js";
import { WORDS } from "/static/words/frame.js";

const sheets = new Map();
const unreachable = () => new Problem(WORDS.unreachable, 0, "unreachable");

/** A module's exports, once its style, if it has one, is in force. Throws a Problem where they
 * cannot be fetched; asked again, it tries again. */
export async function later(path, style = null) {
  const [part] = await Promise.all([fetched(path), style && sheet(style)]);
  return part;
}

async function fetched(path) {
  try {
    return await import(path);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error; // a mistake in the module itself
    throw unreachable();
  }
}

/** Resolves once a style sheet is in force; throws a Problem where it cannot be fetched. */
export function sheet(path) {
  if (!sheets.has(path)) sheets.set(path, fetchedSheet(path));
  return sheets.get(path);
}

const fetchedSheet = (path) => new Promise((resolve, reject) => {
  const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href: path });
  link.onload = resolve;
  link.onerror = () => {
    sheets.delete(path);
    link.remove();
    reject(unreachable());
  };
  document.head.append(link);
});

/** Calls `fetchAll` at the first touch or key in a place: the connection may be gone when its parts
 * are wanted. It returns promises; none is waited for, and whoever wants a part asks again. */
export function atFirstTouch(place, fetchAll) {
  const end = new AbortController();
  const touched = () => {
    end.abort();
    Promise.allSettled(fetchAll());
  };
  for (const sign of ["pointerdown", "keydown"]) place.addEventListener(sign, touched, { signal: end.signal });
}
