/** The bar that stays in sight: carry out; while that goes on, how far it is, and cancel. */

import { button, make, show, write } from "/static/dom.js";
import { numberRound } from "/static/numbers.js";
import { WORDS } from "/static/words/dry-run.js";

const QUICK_MS = 250; // what is done sooner needs no bar, which would only flicker

export class RunBar {
  #timer = 0;

  constructor(home, { run, cancel }) {
    this.run = button("strong run-button", WORDS.run, run);
    this.bar = make("progress");
    this.bar.max = 1;
    this.text = make("span", "run-text");
    this.cancel = button("quiet", WORDS.cancel, cancel);
    const label = make("label", "run-label", this.text, this.bar);
    this.progress = make("div", "run-progress", label, this.cancel);
    home.append(make("div", "run-bar", this.run, this.progress));
    show(this.progress, false);
  }

  /** What pressing the button would do; null where something is still missing. */
  offer(days) {
    write(this.run, days === null ? WORDS.run : WORDS.runDays(days));
  }

  begin() {
    this.run.disabled = true;
    this.tellShare(0);
    this.#timer = setTimeout(() => {
      const hadFocus = document.activeElement === this.run || document.activeElement === document.body;
      show(this.run, false);
      show(this.progress, true);
      if (hadFocus) this.cancel.focus();
    }, QUICK_MS);
  }

  tellShare(share) {
    if (share > 0) this.bar.value = share;
    else this.bar.removeAttribute("value");
    write(this.text, share > 0 ? WORDS.share(numberRound(100 * share, 0)) : WORDS.beginning);
  }

  end() {
    clearTimeout(this.#timer);
    const hadFocus = this.progress.contains(document.activeElement);
    show(this.progress, false);
    show(this.run, true);
    this.run.disabled = false;
    if (hadFocus) this.run.focus();
  }
}
