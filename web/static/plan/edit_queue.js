/** Edits of the draft, carried out by the page's program one after the other. */

import { post, Problem } from "/static/api.js";

export class EditQueue {
  #waiting = [];
  #running = null;
  #textOf;
  #take;

  /** `textOf()`: the draft's text; `take(answer, words, key)`: puts what came of it in its place. */
  constructor(textOf, take) {
    this.#textOf = textOf;
    this.#take = take;
  }

  /** Whether an edit is on its way. */
  get isBusy() {
    return this.#running !== null;
  }

  /** Resolves once none is on its way. */
  async idle() {
    while (this.#running !== null) await this.#running;
  }

  /** Carries out `edits` after all that came before. Resolves {isDone: true}, or {isDone: false,
   * findings, message} where they were refused or did not arrive. Settings of one key that still
   * wait give way to a newer one, and share its end. */
  add(edits, words) {
    const key = keyOf(edits);
    const last = this.#waiting.at(-1);
    return new Promise((resolve) => {
      if (key !== null && last?.key === key) {
        Object.assign(last, { edits, words });
        last.ends.push(resolve);
      } else {
        this.#waiting.push({ edits, words, key, ends: [resolve] });
      }
      this.#running ??= this.#run();
    });
  }

  async #run() {
    while (this.#waiting.length) {
      const one = this.#waiting.shift();
      const end = await this.#carryOut(one);
      for (const resolve of one.ends) resolve(end);
    }
    this.#running = null;
  }

  async #carryOut({ edits, words, key }) {
    try {
      for (;;) {
        const text = this.#textOf();
        const answer = await post("/plan/edit", { text, edits });
        if (this.#textOf() !== text) continue; // it changed meanwhile, and that is not to be lost
        this.#take(answer, words, key);
        return { isDone: true };
      }
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      return { isDone: false, findings: problem.more.findings ?? [], message: problem.message };
    }
  }
}

/** What two edits have in common that set the same key, or null. */
function keyOf(edits) {
  return edits.length === 1 && edits[0].do === "set" ? `set ${edits[0].at}` : null;
}
