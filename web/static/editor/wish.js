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
   * `words` tell what undoing would take back. Where the plan refuses it, it is tried together with
   * `others()`, wishes that were refused before: some values are right only beside each other. True
   * where the plan took it. */
  async make(wanted, { own, edits, words, others = () => [] }) {
    Object.assign(this, { wanted, own, refusal: null, waiting: { edits, words, others } });
    this.redraw();
    if (this.isSending) return false;
    this.isSending = true;
    let answer = { isDone: false, findings: [], message: "" };
    while (this.waiting !== null) {
      const next = this.waiting;
      this.waiting = null;
      this.edits = next.edits;
      answer = await this.draft.edit(next.edits, next.words);
      const refused = answer.isDone || this.waiting !== null ? [] : next.others();
      if (refused.length) answer = await this.together(refused, next);
    }
    this.isSending = false;
    if (answer.isDone) this.forget();
    else this.refusal = answer;
    this.redraw();
    return answer.isDone;
  }

  async together(refused, { edits, words }) {
    const answer = await this.draft.edit([...refused.flatMap((wish) => wish.edits), ...edits], words);
    for (const wish of answer.isDone ? refused : []) {
      wish.forget();
      wish.redraw();
    }
    return answer;
  }
}
