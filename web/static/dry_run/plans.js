/** The plans that can be carried out: the one in force, those before it, the draft in this browser. */

import { get, post } from "/static/api.js";
import { keptDraft } from "/static/plan/kept.js";
import { WORDS } from "/static/words/dry-run.js";

/** What is known of them; `problem` is why the controller's own cannot be listed, or "". */
export class Plans {
  revisions = []; // newest first
  revision = null; // the one in force
  problem = "";
  mayHaveDraft = false; // a guest has none: what was left here is the owner's

  /** Whether a draft was left in this browser. */
  get hasDraft() {
    return this.#draft() !== null;
  }

  #draft() {
    return this.mayHaveDraft ? keptDraft() : null;
  }

  /** Asks the controller; what was known stays where it does not answer. */
  async ask() {
    try {
      const { revisions } = await get("/plan/revisions");
      this.revisions = [...revisions].reverse();
      this.revision = revisions.find((one) => one.is_in_force)?.revision ?? null;
      this.problem = "";
    } catch (problem) {
      this.problem = problem.message;
    }
  }

  /** A plan as {text, name}; `file` is what was chosen for `file`.
   *
   * Throws a Problem or an Error with a sentence where there is no such plan. */
  async read(which, file) {
    if (which === "running") {
      const { revision, text } = await get("/plan");
      return { text, name: WORDS.planRunning(revision) };
    }
    if (which === "draft") {
      const draft = this.#draft();
      if (draft === null) throw new Error(WORDS.noDraft);
      return { text: draft.text, name: WORDS.planDraft };
    }
    if (which === "file") {
      if (file === null) throw new Error(WORDS.noPlanFile);
      return { text: file.text, name: file.name };
    }
    const { text } = await get(`/plan/revisions/${which}`);
    return { text, name: WORDS.planRevision(which) };
  }
}

/** What a plan's text says: {is_fit, findings, document}; the year is not walked through. */
export const inspect = (text) => post("/plan/preview", { text, parts: [] });
