/** What is asked of the page's own program. */

import { WORDS } from "/static/words/frame.js";

const API = "/api/v1";
const WAITS_MS = 15_000;

/** It refused, failed or was not reached; `message` is a sentence, `status` 0 where unreached. */
export class Problem extends Error {
  constructor(message, status, kind) {
    super(message);
    this.status = status;
    this.kind = kind;
  }
}

async function ask(method, path, body) {
  let answer;
  try {
    answer = await fetch(API + path, {
      method,
      headers: body === undefined ? {} : { "Content-Type": "application/json" },
      body: body === undefined ? undefined : JSON.stringify(body),
      signal: AbortSignal.timeout(WAITS_MS),
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
  const kind = String(told.type ?? "").split("/").pop();
  const detail = String(told.detail ?? told.title ?? WORDS.strange(answer.status));
  throw new Problem(/[.?]$/.test(detail) ? detail : `${detail}.`, answer.status, kind);
}

export const get = (path) => ask("GET", path);
export const post = (path, body) => ask("POST", path, body);
export const remove = (path) => ask("DELETE", path);

/** Where events come from. */
export const EVENTS = `${API}/events`;
