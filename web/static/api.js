/** What is asked of the page's own program. */

import { WORDS } from "/static/words/frame.js";
import { ended } from "/static/words/sentences.js";

const API = "/api/v1";
const WAITS_MS = 15_000;

/** It refused, failed or was not reached; `message` is a sentence, `status` 0 where unreached,
 * `kind` the problem's name (`plan-changed`), `more` all that the answer told, such as `findings`. */
export class Problem extends Error {
  constructor(message, status, kind, more = {}) {
    super(message);
    this.status = status;
    this.kind = kind;
    this.more = more;
  }
}

async function ask(method, path, body, { waitsMs = WAITS_MS } = {}) {
  let answer;
  try {
    answer = await fetch(API + path, {
      method,
      headers: body === undefined ? {} : { "Content-Type": "application/json" },
      body: body === undefined ? undefined : JSON.stringify(body),
      signal: AbortSignal.timeout(waitsMs),
      cache: "no-store",
    });
  } catch {
    throw new Problem(WORDS.unreachable, 0, "unreachable"); // fetch tells no more than that
  }
  let told = null;
  try {
    told = await answer.json();
  } catch {
    throw new Problem(WORDS.strange(answer.status), answer.status, "strange");
  }
  if (answer.ok) return told;
  throw problemOf(told, answer.status);
}

/** A problem as the program told it: its body, and the status of the answer. */
export function problemOf(told, status) {
  const kind = String(told.type ?? "").split("/").pop();
  const detail = String(told.detail ?? told.title ?? WORDS.strange(status));
  return new Problem(ended(detail), status, kind, told);
}

export const get = (path) => ask("GET", path);
/** `waitsMs`: how long an answer may take before the program counts as not reached. */
export const post = (path, body, options) => ask("POST", path, body, options);
export const remove = (path) => ask("DELETE", path);

/** Where events come from. */
export const EVENTS = `${API}/events`;
