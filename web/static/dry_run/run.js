/** A dry run at the page's own program: asked for, followed, ended. */

import { Problem, problemOf } from "/static/api.js";
import { WORDS as FRAME_WORDS } from "/static/words/frame.js";
import { WORDS } from "/static/words/dry-run.js";

const PATH = "/api/v1/dry-run";
const LINES = "application/x-ndjson";
const SILENCE_MAX_MS = 60_000; // a slow board draws a picture for some seconds without a word
const BODY_BYTES_MAX = 6 * 1024 * 1024; // the most that the program takes at once

/** Carries out what `body` asks for; `onShare(share)` hears how far it is, from 0 to 1. An abort of
 * `signal` ends it at the program too, and resolves with null.
 *
 * Throws a Problem where it was refused or not reached. */
export async function carryOut(body, { onShare, signal }) {
  const sent = new Blob([JSON.stringify(body)]);
  if (sent.size > BODY_BYTES_MAX) {
    throw new Problem(WORDS.tooMuchSent(sent.size, BODY_BYTES_MAX), 413, "too-big", { about: "weather" });
  }
  const watch = new Watch(signal);
  try {
    const answer = await fetch(PATH, {
      method: "POST",
      headers: { "Content-Type": "application/json", Accept: LINES },
      body: sent,
      signal: watch.signal,
      cache: "no-store",
    });
    if (!answer.ok) throw problemOf(await answer.json(), answer.status);
    return await outcomeOf(answer, watch, onShare);
  } catch (error) {
    if (error instanceof Problem) throw error;
    if (signal.aborted) return null;
    throw new Problem(watch.wasSilent ? WORDS.silent : FRAME_WORDS.unreachable, 0, "unreachable");
  } finally {
    watch.end();
  }
}

async function outcomeOf(answer, watch, onShare) {
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  const pieces = [];
  for (;;) {
    const { value, done } = await reader.read();
    if (done) throw new Problem(WORDS.brokeOff, 0, "unreachable");
    watch.hear();
    pieces.push(value);
    if (!value.includes("\n")) continue;
    const lines = pieces.join("").split("\n");
    pieces.splice(0, pieces.length, lines.pop());
    for (const line of lines) {
      const told = JSON.parse(line);
      if ("told" in told) return told.told;
      if ("problem" in told) throw problemOf(told.problem, told.problem.status);
      onShare(told.done);
    }
  }
}

/** Ends what nobody waits for, or what says nothing any more. */
class Watch {
  wasSilent = false;
  #controller = new AbortController();
  #end = new AbortController();
  #timer = 0;

  constructor(signal) {
    signal.addEventListener("abort", () => this.#controller.abort(), { signal: this.#end.signal });
    if (signal.aborted) this.#controller.abort(); // while the run was being prepared
    this.hear();
  }

  get signal() {
    return this.#controller.signal;
  }

  hear() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.wasSilent = true;
      this.#controller.abort();
    }, SILENCE_MAX_MS);
  }

  end() {
    clearTimeout(this.#timer);
    this.#end.abort();
    this.#controller.abort(); // a body that was not read to its end
  }
}
