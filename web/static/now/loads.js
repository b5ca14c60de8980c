/** The loads: what each does, why, until when, and what a person orders of it. */

import { arrange, button, byId, make, show, write } from "/static/dom.js";
import { clockNear } from "/static/moments.js";
import { order } from "/static/frame/orders.js";
import { doing } from "/static/words/kinds.js";
import { lengthExact, lengthRound } from "/static/words/lengths.js";
import { HOLD_LENGTH_FIRST, HOLD_LENGTHS, WORDS } from "/static/words/now.js";

const STOPPED = "stop switch"; // as the controller calls the rule
const cards = new Map();

/** Draws all loads of the picture. */
export function drawLoads(live, { mayOrder }) {
  const { loads } = live.status;
  const elements = loads.map((load) => {
    if (!cards.has(load.name)) cards.set(load.name, new Card(load.name));
    const card = cards.get(load.name);
    card.draw(load, live, mayOrder);
    return card.element;
  });
  if (!elements.length) elements.push(make("li", "", WORDS.noLoads));
  arrange(byId("load-list"), elements);
  for (const name of [...cards.keys()]) {
    if (!loads.some((load) => load.name === name)) cards.delete(name);
  }
}

/** Lets what runs by itself run on. */
export function tickLoads(live) {
  for (const card of cards.values()) card.tick(live);
}

class Card {
  constructor(name) {
    this.name = name;
    this.load = null;
    this.first = { key: "", leftS: 0 }; // the longest time left seen of a state of unknown age
    this.fill = make("div", "pipe-fill");
    this.state = make("p", "state");
    this.left = make("strong", "left");
    this.until = make("span", "until");
    this.sentence = make("p", "sentence");
    this.heldText = make("p", "held-text");
    this.release = button("strong", WORDS.release, () => this.letGo());
    this.release.setAttribute("aria-label", WORDS.releaseName(name));
    this.held = make("div", "held", this.heldText, this.release);
    this.length = make("select", "length");
    for (const [value, text] of HOLD_LENGTHS) this.length.append(new Option(text, value));
    this.length.value = HOLD_LENGTH_FIRST;
    this.length.setAttribute("aria-label", WORDS.holdLengthName(name));
    this.length.addEventListener("change", () => this.nameButtons());
    this.on = button("hold", WORDS.holdOn, () => this.hold("on"));
    this.off = button("hold", WORDS.holdOff, () => this.hold("off"));
    this.orders = make("div", "orders", this.on, this.off, this.length);
    this.nameButtons();
    const pipe = make("div", "pipe", this.fill);
    pipe.setAttribute("aria-hidden", "true"); // the words beside it say the same
    this.element = make(
      "li", "load", pipe,
      make(
        "div", "load-body",
        make("div", "load-head", make("h3", "", name), this.state),
        make("p", "countdown", this.left, " ", this.until),
        this.sentence, this.held, this.orders,
      ),
    );
    this.element.dataset.load = name;
  }

  get lengthText() {
    return this.length.selectedOptions[0].text;
  }

  nameButtons() {
    this.on.setAttribute("aria-label", WORDS.holdName(this.name, "on", this.lengthText));
    this.off.setAttribute("aria-label", WORDS.holdName(this.name, "off", this.lengthText));
  }

  draw(load, live, mayOrder) {
    this.load = load;
    const key = `${load.is_on} ${load.until_utc ?? load.why}`;
    if (this.first.key !== key) this.first = { key, leftS: load.left_s ?? 0 };
    this.element.dataset.state = load.is_on ? "on" : "off";
    this.element.classList.toggle("is-stopped", load.why === STOPPED);
    write(this.sentence, load.sentence);
    show(this.orders, mayOrder);
    const hadFocus = document.activeElement === this.release;
    show(this.held, load.held !== null);
    show(this.release, mayOrder);
    if (hadFocus && load.held === null) this.on.focus();
    this.tick(live);
  }

  tick(live) {
    const { load } = this;
    const words = doing(load.kind);
    const state = load.why === STOPPED && !load.is_on ? WORDS.stopped : load.is_on ? words.on : words.off;
    write(this.state, live.isFresh ? state : WORDS.lastSeen(state));
    const leftS = load.left_s === null ? null : load.left_s - live.passedS;
    this.drawLeft(leftS, words, live);
    this.drawHeld(live);
    // What is left of the stretch stands in the pipe: it drains to the next change.
    const whole = load.for_s === null ? this.first.leftS : load.for_s + load.left_s;
    const part = leftS === null ? (load.is_on ? 1 : 0) : Math.max(0, Math.min(1, leftS / whole));
    this.fill.style.transform = `scaleY(${part.toFixed(4)})`;
  }

  drawLeft(leftS, words, live) {
    if (!live.isFresh) {
      write(this.left, "");
      write(this.until, "");
      return;
    }
    if (leftS === null) {
      write(this.left, "");
      write(this.until, WORDS.noChange);
      return;
    }
    const until = this.load.is_on ? words.untilOff : words.untilOn;
    write(this.left, leftS > 0 ? lengthExact(leftS) : WORDS.overdue);
    const at = this.load.until_utc;
    write(this.until, at === null ? until : WORDS.changesAt(until, clockNear(Date.parse(at), live.nowMs)));
  }

  drawHeld(live) {
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

  hold(what) {
    const told = WORDS.toldHeld(this.name, what, this.lengthText);
    const body = { load: this.name, order: what, for: this.length.value };
    return order("/hold", body, told, { undoing: this.before() });
  }

  letGo() {
    const told = WORDS.toldReleased(this.name);
    return order("/release", { load: this.name }, told, { undoing: this.before() });
  }
}
