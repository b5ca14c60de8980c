/** Files to take home. */

import { make } from "/static/dom.js";

const READ_WITHIN_MS = 60_000; // by when the browser has surely read it

/** Has the browser save a text under a name. */
export function saveFile(text, name, type) {
  const link = make("a");
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), READ_WITHIN_MS);
}
