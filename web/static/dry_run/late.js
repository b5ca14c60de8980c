/** Modules and styles that are fetched when they are needed first: most visits need none. */

import { Problem } from "/static/api.js";
import { WORDS } from "/static/words/frame.js";

const sheets = new Map();

/** A module's exports; throws a Problem where the page's own program does not answer. */
export async function late(path) {
  try {
    return await import(path);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error; // a mistake in the module itself
    throw new Problem(WORDS.unreachable, 0, "unreachable");
  }
}

/** Resolves once a style sheet is in force, or cannot be had: what it styles can be read all the same. */
export function sheet(path) {
  if (!sheets.has(path)) {
    sheets.set(path, new Promise((resolve) => {
      const link = document.createElement("link");
      link.addEventListener("load", resolve);
      link.addEventListener("error", () => {
        sheets.delete(path);
        link.remove();
        resolve();
      });
      Object.assign(link, { rel: "stylesheet", href: path });
      document.head.append(link);
    }));
  }
  return sheets.get(path);
}
