/** Holds of one load: begun, told with their end, let go, each with its undo. */

import { button, make, show, write } from "/static/dom.js";
import { order } from "/static/frame/orders.js";
import { clockNear } from "/static/moments.js";
import { WORDS as AROUND } from "/static/words/frame.js";
import { lengthRound } from "/static/words/lengths.js";
import { HOLD_LENGTH_FIRST, HOLD_LENGTHS, WORDS } from "/static/words/now.js";

export class Hold {
  /** `held` is the part that tells of a hold, `orders` the one that begins one. */
  constructor(name) {
    this.name = name;
    this.load = null;
    this.heldText = make("p", "held-text");
    this.release = button("strong", WORDS.release, () => this.letGo());
    this.release.setAttribute("aria-label", WORDS.releaseName(name));
    this.caution = make("p", "held-caution");
    this.held = make("div", "held", this.heldText, this.release, this.caution);
    this.length = make("select", "length");
    for (const [value, text] of HOLD_LENGTHS) this.length.append(new Option(text, value));
    this.length.value = HOLD_LENGTH_FIRST;
    this.length.setAttribute("aria-label", WORDS.holdLengthName(name));
    this.length.addEventListener("change", () => this.nameButtons());
    this.on = button("hold", WORDS.holdOn, () => this.begin("on"));
    this.off = button("hold", WORDS.holdOff, () => this.begin("off"));
    this.orders = make("div", "orders", this.on, this.off, this.length);
    this.nameButtons();
  }

  get lengthText() {
    return this.length.selectedOptions[0].text;
  }

  nameButtons() {
    this.on.setAttribute("aria-label", WORDS.holdName(this.name, "on", this.lengthText));
    this.off.setAttribute("aria-label", WORDS.holdName(this.name, "off", this.lengthText));
  }

  draw(load, mayOrder) {
    this.load = load;
    show(this.orders, mayOrder);
    const hadFocus = document.activeElement === this.release;
    show(this.held, load.held !== null);
    show(this.release, mayOrder);
    if (hadFocus && load.held === null) this.on.focus();
    this.warn();
  }

  /** A hazard is named where it is met: whoever holds a load is likely to have hands at it. */
  warn() {
    const { held, may_be_mains: mayBeMains } = this.load;
    show(this.caution, held !== null && mayBeMains);
    if (held === null) return;
    const words = held.order === "off" ? WORDS.cautionOff : WORDS.cautionOn;
    if (this.caution.dataset.words === words) return;
    this.caution.dataset.words = words;
    const link = make("a", "", AROUND.allCautions);
    link.href = "#cautions";
    this.caution.replaceChildren(words, " ", link);
  }

  tick(live) {
    const { held } = this.load;
    if (held === null) return;
    const left = lengthRound(Math.max(0, held.left_s - live.passedS));
    const text = held.ends_utc === null
      ? WORDS.heldLeft(held.order, left)
      : WORDS.held(held.order, clockNear(Date.parse(held.ends_utc), live.nowMs));
    write(this.heldText, text);
  }

  /** What brings back the hold that there was, or none. */
  before() {
    const { held } = this.load;
    const end = held === null ? 0 : Date.now() + held.left_s * 1000;
    return () => {
      const leftS = Math.round((end - Date.now()) / 1000);
      const told = WORDS.toldUndone(this.name);
      if (leftS < 1) return order("/release", { load: this.name }, told);
      return order("/hold", { load: this.name, order: held.order, for: `${leftS}s` }, told);
    };
  }

  begin(what) {
    const told = WORDS.toldHeld(this.name, what, this.lengthText);
    const body = { load: this.name, order: what, for: this.length.value };
    return order("/hold", body, told, { undoing: this.before() });
  }

  letGo() {
    const told = WORDS.toldReleased(this.name);
    return order("/release", { load: this.name }, told, { undoing: this.before() });
  }
}
