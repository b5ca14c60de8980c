/** The plan that is being edited: its text, what there is to say about it, what it would do. */

import { EditQueue } from "/static/plan/edit_queue.js";
import { InForce } from "/static/plan/in_force.js";
import { keep, keptDraft, onKeptElsewhere } from "/static/plan/kept.js";
import { Listeners } from "/static/plan/listeners.js";
import { Previewing } from "/static/plan/previewing.js";
import { readSchema, stateOf } from "/static/plan/reading.js";
import { Steps } from "/static/plan/steps.js";
import { WORDS } from "/static/words/plan.js";

/** A state is {text, document, findings, isFit, isJudged, base, words}. `base` is {revision, text}:
 * what the text was made from. `isJudged`: findings are of this very text. */
class Draft {
  rights = { mayOrder: false };
  schema = null;
  preview = null; // newest answer for a text that was fit
  previewText = null; // the text which `preview` is of
  previewProblem = null; // why there is no preview of the newest text, or null
  isKept = true; // false where this browser keeps no draft
  keptMs = null; // when what was left here was kept, if `open` found something

  #steps = new Steps();
  #edits = new EditQueue(() => this.text, (...told) => this.#takeEdited(...told));
  #previewing = new Previewing((told) => this.#takePreview(told));
  #ofChanges = new Listeners();
  #ofPreviews = new Listeners();
  #running = new InForce(() => this.#ofChanges.tell());

  get text() { return this.#steps.state?.text ?? ""; }
  get document() { return this.#steps.state?.document ?? null; }
  get findings() { return this.#steps.state?.findings ?? []; }
  get isFit() { return this.#steps.state?.isFit ?? false; }
  get isJudged() { return this.#steps.state?.isJudged ?? false; }
  get base() { return this.#steps.state?.base ?? null; }
  /** {revision, text}: the plan that runs, as far as is known, or null. */
  get inForce() { return this.#running.plan; }
  get isChanged() { return this.base !== null && this.text !== this.base.text; }
  /** Another plan came into force since this one was begun. */
  get isBehind() { return this.base !== null && this.inForce !== null && this.base.revision !== this.inForce.revision; }
  get isPreviewing() { return this.#previewing.isBusy; }
  get canUndo() { return this.rights.mayOrder && this.#steps.canUndo; }
  get canRedo() { return this.rights.mayOrder && this.#steps.canRedo; }
  get undoWords() { return this.#steps.undoWords; }
  get redoWords() { return this.#steps.redoWords; }

  /** Calls `act()` after text, document, findings, rights, base or the plan in force changed. */
  onChange(act) { this.#ofChanges.add(act); }

  /** Calls `act()` after a preview began, came or failed. */
  onPreview(act) { this.#ofPreviews.add(act); }

  /** Reads the plan in force, and takes up what was left unsaved in this browser.
   *
   * Throws a Problem where neither the plan can be read nor anything was left. */
  async open() {
    const kept = this.rights.mayOrder ? keptDraft() : null;
    const [schema] = await Promise.all([readSchema(), this.#running.read(kept !== null)]);
    this.schema = schema ?? this.schema;
    const base = kept?.base ?? this.inForce;
    this.#steps.begin(await stateOf(base.text, base, ""));
    if (kept !== null) this.#steps.take(await stateOf(kept.text, base, WORDS.stepKept, this.document));
    this.#changed();
    this.keptMs = kept?.keptMs ?? null;
    this.#ofChanges.tell();
  }

  /** What happens in this browser's other windows happens in this one too. */
  shareWithWindows() {
    onKeptElsewhere((kept) => this.#takeFromWindow(kept));
  }

  /** Carries out edits as POST /plan/edit takes them. Resolves {isDone: true}, or {isDone: false,
   * findings, message}: the text is then as before. `words`: what it was, for undo. */
  async edit(edits, words) {
    if (!this.rights.mayOrder) return { isDone: false, findings: [], message: WORDS.guestMayNot };
    return this.#edits.add(edits, words);
  }

  /** Resolves once no edit is on its way. */
  async edited() {
    return this.#edits.idle();
  }

  /** Takes a text as it was typed or read from a file; findings follow with its preview. */
  setText(text, words = WORDS.stepTyped, key = "typed") {
    if (!this.rights.mayOrder || text === this.text) return;
    const { document, findings, isFit, base } = this.#steps.state;
    this.#steps.take({ text, document, findings, isFit, isJudged: false, base, words }, key);
    this.#changed();
  }

  undo() {
    if (!this.canUndo) return;
    this.#steps.undo();
    this.#changed();
  }

  redo() {
    if (!this.canRedo) return;
    this.#steps.redo();
    this.#changed();
  }

  /** Back to the plan in force; undo brings back what was discarded. */
  async discard(words = WORDS.stepDiscarded) {
    const inForce = this.inForce ?? this.base;
    this.#steps.take(await stateOf(inForce.text, inForce, words));
    this.#changed();
  }

  /** A text made from ours and from the plan in force takes the draft's place. */
  async putOnTop(text) {
    this.#steps.take(await stateOf(text, this.inForce, WORDS.stepOnTop, this.document));
    this.#changed();
  }

  /** Sends the draft to the controller. `note`: why, or "". Resolves with its answer and with
   * `before`, the revision that was in force; throws a Problem where it did not take it. */
  async save(note) {
    const { text, base } = this.#steps.state;
    const taken = await this.#running.put({ text, base, note }, () => {
      if (this.text === text) this.#steps.begin(this.#steps.state); // from here on, undo is restore
      this.#rebase(base.revision);
    });
    return { ...taken, before: base.revision };
  }

  /** Puts an earlier revision into force again. `asDraft`: what was edited stays, unsaved. Throws
   * a Problem where the controller did not. */
  async restore(revision, { asDraft = false } = {}) {
    return this.#running.restore(revision, (before) => asDraft ? this.#rebase(before) : this.#takeInForce());
  }

  /** The controller tells which revision is in force. Resolves with whether somebody else changed
   * it. */
  async hear(revision) {
    if (this.base === null) return false;
    const { isNews, isOthers } = await this.#running.hear(revision, () => this.#takeInForce());
    if (isNews) this.refresh(); // the preview compares with the plan in force
    return isOthers;
  }

  /** Asks for the preview again. */
  refresh() {
    if (this.base === null) return;
    this.#previewing.want(this.text);
    this.#ofPreviews.tell();
  }

  /** Resolves when the newest text is judged, or when nobody can judge it now. */
  settled() {
    return new Promise((resolve) => {
      const look = () => {
        const isSettled = !this.#edits.isBusy && (this.isJudged || this.previewProblem !== null);
        if (isSettled) resolve();
        return isSettled;
      };
      if (look()) return;
      const act = () => look() && this.#ofPreviews.remove(act);
      this.#ofPreviews.add(act);
    });
  }

  /** Who is there; a guest sees all and changes nothing. */
  setRights({ mayOrder }) {
    if (mayOrder === this.rights.mayOrder) return;
    this.rights = { mayOrder };
    this.#ofChanges.tell();
  }

  // What changes

  #changed() {
    this.keptMs = null;
    this.previewProblem = null;
    this.#previewing.want(this.text);
    this.#keep();
    this.#ofChanges.tell();
    this.#ofPreviews.tell();
  }

  #keep() {
    if (!this.rights.mayOrder) return;
    const { text, base } = this;
    this.isKept = keep(this.isChanged ? { text, base } : null);
  }

  #takeEdited({ text, findings, document }, words, key) {
    if (text === this.text) return;
    const { base } = this;
    this.#steps.take({ text, document, findings, isFit: true, isJudged: true, base, words }, key);
    this.#changed();
  }

  #takePreview({ text, answer, problem, isYear }) {
    const isNewest = text === this.text;
    if (problem !== null && isNewest && !isYear) this.previewProblem = problem;
    if (answer !== null && isNewest) this.#judge(answer);
    if (answer?.is_fit && !isYear) {
      this.preview = answer;
      this.previewText = text;
      this.previewProblem = null;
    }
    this.#ofPreviews.tell();
  }

  #judge({ is_fit: isFit, findings, document }) {
    const { state } = this.#steps;
    const isSame = state.isJudged && JSON.stringify(state.findings) === JSON.stringify(findings);
    Object.assign(state, { isFit, findings, document: document ?? state.document, isJudged: true });
    if (!isSame) this.#ofChanges.tell();
  }

  /** What was made from the plan that was in force follows the one that is now. */
  async #takeInForce() {
    const wasUntouched = !this.isChanged && !this.#steps.canUndo;
    const { base, inForce } = this;
    if (this.text === inForce.text) {
      this.#rebase(base.revision);
    } else if (this.isChanged) {
      this.#ofChanges.tell();
    } else {
      const state = await stateOf(inForce.text, inForce, WORDS.stepInForce);
      if (wasUntouched) this.#steps.begin(state);
      else this.#steps.take(state);
      this.#changed();
    }
  }

  /** What was made from a revision counts as made from the plan in force, which has all of it. */
  #rebase(revision) {
    for (const state of this.#steps.all) if (state.base.revision === revision) state.base = this.inForce;
    this.#changed();
  }

  async #takeFromWindow(kept) {
    if (!this.rights.mayOrder || this.base === null || kept?.text === this.text) return;
    if (kept !== null) this.#steps.take(await stateOf(kept.text, kept.base, WORDS.stepWindow, this.document));
    else if (!this.isChanged) return;
    else this.#steps.take(await stateOf(this.base.text, this.base, WORDS.stepWindow));
    this.#changed();
  }
}

/** The one draft of this window. */
export const draft = new Draft();
