/** One load: what it does, why, until when, and what a person orders of it. */

import { make, show, write } from "/static/dom.js";
import { clockNear } from "/static/moments.js";
import { Hold } from "/static/now/hold.js";
import { doing } from "/static/words/kinds.js";
import { lengthExact } from "/static/words/lengths.js";
import { WORDS } from "/static/words/now.js";

// Rules, as the controller calls them.
const STOPPED = "stop switch";
const WAITS = new Set(["starts kept apart", "watts at once", "shortest off"]);
const KEPT_OFF = new Set(["leak", "reservoir low", "no flow", "longest on reached"]);
// What nothing else on the page explains: no alarm, no banner.
const ODD = new Set([...WAITS, "longest on reached", "recovery watering", "no span"]);

export class Card {
  constructor(name) {
    this.load = null;
    this.first = { key: "", leftS: 0 }; // the longest time left seen of a state of unknown age
    this.fill = make("div", "pipe-fill");
    this.state = make("p", "state");
    this.left = make("strong", "left");
    this.until = make("span", "until");
    this.sentence = make("p", "sentence");
    this.hold = new Hold(name);
    const pipe = make("div", "pipe", this.fill);
    pipe.setAttribute("aria-hidden", "true"); // the words beside it say the same
    this.element = make(
      "li", "load", pipe,
      make(
        "div", "load-body",
        make("div", "load-head", make("h3", "", name), this.state, this.opener(name)),
        make("p", "countdown", this.left, " ", this.until),
        this.sentence, this.hold.held, this.hold.orders,
      ),
    );
    this.element.dataset.load = name;
  }

  /** Opens the card where there are many and the screen is small; shown nowhere else. */
  opener(name) {
    const opener = make("button", "opener");
    opener.type = "button";
    opener.setAttribute("aria-label", WORDS.moreOf(name));
    opener.setAttribute("aria-expanded", "false");
    opener.addEventListener("click", () => {
      const isOpen = this.element.classList.toggle("is-open");
      opener.setAttribute("aria-expanded", String(isOpen));
    });
    return opener;
  }

  draw(load, live, mayOrder) {
    this.load = load;
    const key = `${load.is_on} ${load.until_utc ?? load.why}`;
    if (this.first.key !== key) this.first = { key, leftS: load.left_s ?? 0 };
    const { classList, dataset } = this.element;
    dataset.state = load.is_on ? "on" : "off";
    classList.toggle("is-stopped", !load.is_on && (load.why === STOPPED || KEPT_OFF.has(load.why)));
    classList.toggle("is-odd", ODD.has(load.why));
    write(this.sentence, load.sentence);
    this.hold.draw(load, mayOrder);
    this.tick(live);
  }

  /** What it does, in a word or two. */
  stateOf(words) {
    const { is_on: isOn, why } = this.load;
    if (isOn) return words.on;
    if (why === STOPPED) return WORDS.stopped;
    if (KEPT_OFF.has(why)) return WORDS.keptOff;
    return WAITS.has(why) ? WORDS.waits : words.off;
  }

  tick(live) {
    const { load } = this;
    const words = doing(load.kind);
    const state = this.stateOf(words);
    write(this.state, live.isFresh ? state : WORDS.lastSeen(state));
    const leftS = load.left_s === null ? null : load.left_s - live.passedS;
    this.drawLeft(leftS, words, live);
    this.hold.tick(live);
    // What is left of the stretch stands in the pipe: it drains to the next change.
    const whole = load.for_s === null ? this.first.leftS : load.for_s + load.left_s;
    const part = leftS === null ? (load.is_on ? 1 : 0) : Math.max(0, Math.min(1, leftS / whole));
    this.fill.style.transform = `scaleY(${part.toFixed(4)})`;
  }

  drawLeft(leftS, words, live) {
    show(this.left, live.isFresh && leftS !== null);
    if (!live.isFresh) {
      write(this.until, "");
      return;
    }
    if (leftS === null) {
      write(this.until, WORDS.noChange);
      return;
    }
    const until = this.load.is_on ? words.untilOff : words.untilOn;
    write(this.left, leftS > 0 ? lengthExact(leftS) : WORDS.overdue);
    const at = this.load.until_utc;
    write(this.until, at === null ? until : WORDS.changesAt(until, clockNear(Date.parse(at), live.nowMs)));
  }
}
