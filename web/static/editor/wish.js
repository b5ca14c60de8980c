/** What somebody wants a value to be, from the touch until the plan has it or refuses it. */

/** One value that is being changed. While edits are on their way newer ones wait, and of those that
 * wait only the newest is sent. What was refused stays to be seen, until the plan's own value
 * changes or another is wished for. */
export class Wish {
  constructor(draft, redraw) {
    this.draft = draft;
    this.redraw = redraw;
    this.isSending = false;
    this.forget();
  }

  forget() {
    this.wanted = undefined;
    this.refusal = null;
    this.waiting = null;
  }

  /** What to show: the wish, or else the plan's own value. */
  shown(own) {
    if (this.refusal !== null && own !== this.own) this.forget();
    return this.wanted ?? own;
  }

  /** Wishes for a value by edits (as POST /plan/edit takes them); `own` is what the plan has,
   * `words` tell what undoing would take back. True where the plan took it. */
  async make(wanted, { own, edits, words }) {
    Object.assign(this, { wanted, own, refusal: null, waiting: { edits, words } });
    this.redraw();
    if (this.isSending) return false;
    this.isSending = true;
    let answer = { isDone: false, findings: [], message: "" };
    while (this.waiting !== null) {
      const next = this.waiting;
      this.waiting = null;
      answer = await this.draft.edit(next.edits, next.words);
    }
    this.isSending = false;
    if (answer.isDone) this.forget();
    else this.refusal = answer;
    this.redraw();
    return answer.isDone;
  }
}
