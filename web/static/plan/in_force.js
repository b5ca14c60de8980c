/** The plan in force, as far as this window knows: read, heard of, and made another one. */

import { get, post, Problem } from "/static/api.js";

const EXAMINED_WITHIN_MS = 160_000; // the controller carries a plan out on paper before it takes it

export class InForce {
  plan = null; // {revision, text}
  #heard = null;
  #isMoving = false; // a plan of our own is on its way into force
  #moved;

  /** `moved()` is called when a plan of our own has come into force, or could not. */
  constructor(moved) {
    this.#moved = moved;
  }

  /** Reads it; where it cannot be read and `mayMiss`, it is null. */
  async read(mayMiss) {
    try {
      this.plan = await get("/plan");
    } catch (problem) {
      if (!mayMiss || !(problem instanceof Problem)) throw problem;
      this.plan = null;
    }
  }

  /** Sends a text that was made from `base` to the controller. `note`: why, or "". Calls `take()`
   * once it is in force, and resolves with the controller's answer; throws a Problem where it did
   * not take it. */
  async put({ text, base, note }, take) {
    return this.#moving(async () => {
      try {
        const body = { text, based_on: base.revision, note: note || null };
        const taken = await post("/plan", body, { waitsMs: EXAMINED_WITHIN_MS });
        this.plan = { revision: taken.revision, text };
        take();
        return taken;
      } catch (problem) {
        if (problem.more?.in_force) this.plan = problem.more.in_force;
        throw problem;
      }
    });
  }

  /** Puts an earlier revision into force again. Calls `take()` once it is, and resolves with the
   * controller's answer and with `before`, the revision that was; throws a Problem as `put` does. */
  async restore(revision, take) {
    return this.#moving(async () => {
      const taken = await post("/plan/restore", { revision }, { waitsMs: EXAMINED_WITHIN_MS });
      const before = this.plan?.revision;
      this.plan = await get("/plan");
      await take(before);
      return { ...taken, before };
    });
  }

  /** The controller tells which revision is in force: where it is another, it is read, and `take()`
   * is called. Resolves with whether that is news, and whether it is by somebody else. */
  async hear(revision, take) {
    const before = this.#heard;
    if (this.#isMoving || revision === before) return { isNews: false, isOthers: false };
    this.#heard = revision;
    try {
      const isOther = this.plan?.revision !== revision;
      const wasKnown = this.plan !== null;
      if (isOther) {
        this.plan = await get("/plan");
        await take();
      }
      return { isNews: before !== null, isOthers: isOther && wasKnown };
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      this.#heard = before; // it is asked for again with the next picture
      return { isNews: false, isOthers: false };
    }
  }

  async #moving(act) {
    this.#isMoving = true;
    try {
      return await act();
    } finally {
      this.#isMoving = false;
      this.#moved();
    }
  }
}
