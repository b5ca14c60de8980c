/** The states that a draft went through, to go back and forth between. */

const STEPS_MAX = 200;
const SAME_STEP_MS = 1_500;

export class Steps {
  #states = [];
  #at = -1;
  #key = null;
  #keyMs = 0;

  /** The state that shows; change its parts in place when more becomes known of it. */
  get state() {
    return this.#states[this.#at];
  }

  get canUndo() {
    return this.#at > 0;
  }

  get canRedo() {
    return this.#at < this.#states.length - 1;
  }

  /** What the last step did, in words, or "". */
  get undoWords() {
    return this.canUndo ? this.state.words : "";
  }

  /** What the step was that redo takes again, or "". */
  get redoWords() {
    return this.canRedo ? this.#states[this.#at + 1].words : "";
  }

  /** All states, to mend what they share. */
  get all() {
    return this.#states;
  }

  /** Forgets all and begins with this state. */
  begin(state) {
    this.#states = [state];
    this.#at = 0;
    this.#key = null;
  }

  /** A new state after the one that shows; what was undone is gone. Steps with the same `key`
   * (not null) shortly after each other are one: a stepper that is held, a word that is typed. */
  take(state, key = null) {
    const nowMs = Date.now();
    const isSame = key !== null && key === this.#key && nowMs - this.#keyMs < SAME_STEP_MS && this.canUndo;
    this.#states.length = isSame ? this.#at : this.#at + 1;
    this.#states.push(state);
    if (this.#states.length > STEPS_MAX) this.#states.shift();
    this.#at = this.#states.length - 1;
    this.#key = key;
    this.#keyMs = nowMs;
  }

  undo() {
    if (this.canUndo) this.#at -= 1;
    this.#key = null;
  }

  redo() {
    if (this.canRedo) this.#at += 1;
    this.#key = null;
  }
}
