/** Pairs of the plan in rows that somebody changes: refused ones stay to be mended, or are taken back. */

import { button, show } from "/static/dom.js";
import { refusalLines } from "/static/editor/findings.js";
import { PairRows } from "/static/editor/pair_rows.js";
import { Wish } from "/static/editor/wish.js";
import { PAIRS } from "/static/words/rows.js";

/** `kind` as `PairRows` takes it; `edits(pairs, before)` tells what to ask of the plan so that it has those
 * in place of these; `words` what that was, for undo. */
export class WishedRows {
  constructor(desk, kind, { edits, words }) {
    this.own = "[]";
    this.wish = new Wish(desk.draft, () => this.show());
    this.rows = new PairRows(kind, {
      changed: (pairs) => this.wish.make(JSON.stringify(pairs), { own: this.own, edits: edits(pairs, JSON.parse(this.own)), words }),
    });
    this.back = button("quiet", PAIRS.takeBack, () => this.takeBack());
    this.back.dataset.order = "";
    this.rows.adding.after(this.back);
    this.element = this.rows.element;
    this.element.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      event.stopPropagation();
      this.takeBack();
    });
  }

  /** What was typed and is not in the plan goes. */
  takeBack() {
    this.wish.forget();
    this.rows.forget();
    this.show();
    if (!this.rows.list.contains(document.activeElement)) this.rows.focus();
  }

  /** Shows the pairs that the plan has. */
  draw(pairs) {
    this.own = JSON.stringify(pairs);
    this.show();
  }

  show() {
    this.rows.draw(JSON.parse(this.wish.shown(this.own)));
    this.rows.refuse(refusalLines(this.wish.refusal));
    show(this.back, this.wish.refusal !== null);
  }
}
