/** Asks for previews: one at a time, always of the newest text. */

import { post, Problem } from "/static/api.js";

const PARTS = ["next", "hottest", "odd"];
const YEAR_AFTER_MS = 1_000;
const SUPERSEDED = "superseded";
const CLIENT = crypto.getRandomValues(new Uint32Array(2)).join("-"); // this window, to the server

export class Previewing {
  #text = null; // wanted, not asked for yet
  #isRunning = false;
  #isAsking = false;
  #yearTimer = 0;
  #told;

  /** `told({text, answer, problem, isYear})`: an answer to `text`, or why there is none. */
  constructor(told) {
    this.#told = told;
  }

  /** Whether a preview is on its way. */
  get isBusy() {
    return this.#isAsking || this.#text !== null;
  }

  /** Previews this text as soon as the one before has come; of those that wait, only the newest. */
  want(text) {
    this.#text = text;
    clearTimeout(this.#yearTimer);
    if (!this.#isRunning) this.#run();
  }

  async #run() {
    this.#isRunning = true;
    while (this.#text !== null) {
      const text = this.#text;
      this.#text = null;
      this.#isAsking = true;
      const told = await asked(text, PARTS, CLIENT);
      this.#isAsking = false;
      this.#told({ ...told, isYear: false });
      if (told.answer?.is_fit) this.#askYearLater(text);
    }
    this.#isRunning = false;
  }

  /** A year takes longer to walk than a day: it waits until typing pauses. */
  #askYearLater(text) {
    if (this.#text !== null) return; // a newer one waits already
    clearTimeout(this.#yearTimer);
    this.#yearTimer = setTimeout(async () => {
      this.#told({ ...(await asked(text, ["year"], `${CLIENT}-year`)), isYear: true });
    }, YEAR_AFTER_MS);
  }
}

async function asked(text, parts, client) {
  try {
    return { text, answer: await post("/plan/preview", { text, parts, client }), problem: null };
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    return { text, answer: null, problem: problem.kind === SUPERSEDED ? null : problem };
  }
}
