/** What is left unsaved in this browser: it outlives reload, crash, logout and a dead connection. */

const KEY = "rootclock.draft";

/** The draft that was left here, {text, base: {revision, text}, keptMs}, or null. */
export function keptDraft() {
  try {
    return read(localStorage.getItem(KEY));
  } catch {
    return null; // the browser keeps nothing for this page, so nothing was left
  }
}

/** Keeps a draft, or with null forgets it; false where this browser keeps nothing. */
export function keep(draft) {
  try {
    if (draft === null) localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, JSON.stringify({ ...draft, keptMs: Date.now() }));
  } catch {
    return draft === null;
  }
  return true;
}

/** Calls `act(draft or null)` when another window of this browser keeps or forgets one. */
export function onKeptElsewhere(act) {
  addEventListener("storage", (event) => {
    if (event.key === KEY || event.key === null) act(read(event.newValue));
  });
}

function read(value) {
  if (value === null) return null;
  try {
    const { text, base, keptMs } = JSON.parse(value);
    const isWhole = [typeof text, typeof base?.text, typeof base?.revision].join() === "string,string,number";
    return isWhole ? { text, base, keptMs } : null;
  } catch {
    return null; // not written by this page: nothing that could be read was left
  }
}
