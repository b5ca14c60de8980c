/** The fields of one piece of the day: what it does, and when it starts. */

import { button, make, show, write } from "/static/dom.js";
import { anchorText, CLOCK, DAY_S, followed, readAnchor, SUN, timeText } from "/static/editor/anchor.js";
import { cycleText, DEMAND, isOnDemand, readCycle } from "/static/editor/cycle.js";
import { DEMAND_KEYS, DemandPart } from "/static/editor/demand.js";
import { Field } from "/static/editor/field.js";
import { lengthBeside, lengthText } from "/static/editor/lengths.js";
import { Stepper, typedLength } from "/static/editor/stepper.js";
import { lengthWhole, WORDS as FORM } from "/static/words/editor.js";
import { WORDS } from "/static/words/piece.js";

const FIRST_CYCLE = "15m on, 15m off";
const FIRST_LONGEST_REST = "45m";
const STEPPERS_MAX = 8; // a longer cycle is changed in words
const SHIFT_S = 300;

const setting = (value, at) => [{ do: "set", at, value }];

/** Which of the choices a cycle is; none where it is no cycle. */
function modeOf(told) {
  if (told === null) return "";
  return told.steady === null ? "cycle" : told.steady ? "on" : "off";
}

export class PiecePanel {
  constructor(desk, owner) {
    Object.assign(this, { desk, owner, steppers: [] });
    this.title = make("h4", "piece-title");
    this.title.tabIndex = -1;
    const close = button("quiet", WORDS.close, () => this.close());
    this.cycle = new Field(desk, {
      label: WORDS.cycleText, hint: WORDS.cycleHint, edits: (text, at) => this.cycleEdits(text, at),
      words: (text) => FORM.toldCycle(owner.name, text), shown: (text) => this.drawCycle(text),
    });
    this.anchor = new Field(desk, {
      label: WORDS.anchorText, hint: WORDS.anchorHint, edits: setting,
      words: (text) => FORM.toldMoved(owner.name, text), shown: (text) => this.drawAnchor(text),
    });
    this.element = make("div", "piece", make("div", "piece-head", this.title, close),
      this.cyclePart(), this.anchorPart(), this.endPart());
    this.element.setAttribute("role", "group");
    this.element.addEventListener("keydown", (event) => {
      if (event.key === "Escape") this.close();
    });
  }

  cyclePart() {
    this.modes = new Map(Object.entries(WORDS.modes).map(([mode, words]) => {
      const choice = button("mode", words, () => this.setMode(mode));
      choice.dataset.order = "";
      return [mode, choice];
    }));
    const modes = make("div", "modes", ...this.modes.values());
    modes.setAttribute("role", "group");
    modes.setAttribute("aria-label", WORDS.cycle);
    this.stepHome = make("div", "steppers");
    this.many = make("p", "hint");
    this.demand = new DemandPart(this.desk, this.owner);
    return this.part(WORDS.cycle, modes, this.stepHome, this.many, this.demand.element, this.cycle.element);
  }

  anchorPart() {
    this.base = make("select");
    this.base.dataset.order = "";
    this.base.setAttribute("aria-label", WORDS.tiedTo);
    this.base.addEventListener("change", () => this.tie(this.base.value));
    this.time = make("input");
    this.time.type = "time";
    this.time.dataset.order = "";
    this.time.setAttribute("aria-label", WORDS.time);
    this.time.addEventListener("change", () => this.time.value && this.anchor.commit(this.time.value));
    this.shift = new Stepper({
      name: WORDS.shift, less: WORDS.earlier, more: WORDS.later,
      step: (direction) => this.shiftBy(direction), typed: (text) => this.shiftTo(text),
    });
    const row = make("div", "tie", this.base, this.time, this.shift.element);
    return this.part(WORDS.start, row, this.anchor.element);
  }

  endPart() {
    this.removal = button("quiet", WORDS.remove, () => this.owner.remove(this.place));
    const split = button("", WORDS.split, () => this.owner.split(this.place));
    for (const one of [this.removal, split]) one.dataset.order = "";
    return make("div", "buttons", split, this.removal);
  }

  part(title, ...inside) {
    const part = make("fieldset", "part", make("legend", "", title), ...inside);
    return part;
  }

  /** Shows a piece; `span` is what the plan has, `end` the instant at which it ends or null. */
  draw(piece, span, end) {
    const { day } = this.desk;
    this.place = piece.place;
    this.piece = piece;
    this.span = span;
    const at = `${this.owner.at}.${piece.place}`;
    write(this.title, this.titleOf(piece, end, day));
    this.element.setAttribute("aria-label", this.title.textContent);
    this.drawBases(piece);
    this.demand.draw(at, span);
    this.cycle.draw(`${at}.cycle`, String(span.cycle ?? ""));
    this.anchor.draw(`${at}.from`, String(span.from ?? ""));
    show(this.removal, this.owner.count > 1);
  }

  titleOf(piece, end, day) {
    if (piece.ms === null || day === null) return WORDS.titleNone;
    return end === null ? WORDS.titleAll : WORDS.title(day.clockText(piece.ms), day.clockText(end));
  }

  // What it does

  drawCycle(text) {
    const isDemand = text.trim() === DEMAND;
    const told = isDemand ? null : readCycle(text);
    const mode = isDemand ? DEMAND : modeOf(told);
    if (told?.steps.length) this.lastCycle = text;
    for (const [name, choice] of this.modes) choice.setAttribute("aria-pressed", String(name === mode));
    // Nobody knows what plants drink of which the plan tells nothing.
    show(this.modes.get(DEMAND), isDemand || this.desk.hasPlants(this.owner.load));
    show(this.demand.element, isDemand);
    const steps = told?.steps ?? [];
    const count = steps.length > STEPPERS_MAX ? 0 : steps.length;
    while (this.steppers.length < count) this.addStepper(this.steppers.length);
    this.steppers.forEach((stepper, number) => {
      show(stepper.element, number < count);
      if (number >= count) return;
      stepper.called(WORDS.stepName(steps[number].isOn ? WORDS.on : WORDS.off, number + 1, count));
      stepper.draw(steps[number].s);
    });
    write(this.many, steps.length > STEPPERS_MAX ? WORDS.manySteps(steps.length) : "");
  }

  addStepper(number) {
    const stepper = new Stepper({
      name: "",
      step: (direction) => this.setStep(number, (s) => lengthText(lengthBeside(s, direction))),
      // What is no length goes to the plan's reader, who says so.
      typed: (text) => this.setStep(number, () => {
        const seconds = typedLength(text);
        return seconds === null ? text.trim() : lengthText(seconds);
      }),
    });
    this.steppers.push(stepper);
    this.stepHome.append(stepper.element);
  }

  wanted() {
    return readCycle(this.cycle.wish.shown(this.cycle.own));
  }

  setStep(number, change) {
    const told = this.wanted();
    if (told === null) return;
    const parts = told.steps.map(({ isOn, s }, at) => (
      `${at === number ? change(s) : lengthText(s)} ${isOn ? "on" : "off"}`));
    this.cycle.commit(parts.join(", "));
  }

  setMode(mode) {
    this.cycle.commit(mode === "cycle" ? this.lastCycle ?? this.span.fixed ?? this.firstCycle() : mode);
  }

  firstCycle() {
    const own = readCycle(this.owner.without ?? "");
    return own?.steps.length ? cycleText(own) : FIRST_CYCLE;
  }

  /** What to ask of the plan for another cycle: a demand needs bounds, and nothing else may have any. */
  cycleEdits(text, at) {
    const { span } = this;
    const place = at.slice(0, at.lastIndexOf("."));
    const edits = [{ do: "set", at, value: text }];
    const isDemand = text.trim() === DEMAND;
    if (isDemand === isOnDemand(span)) return edits;
    if (!isDemand) {
      return [...DEMAND_KEYS.filter((key) => key in span).map((key) => ({ do: "remove", at: `${place}.${key}` })), ...edits];
    }
    const fixed = readCycle(span.cycle ?? "")?.steps.length ? span.cycle : this.firstCycle();
    const needed = Object.entries({ fixed, longest_rest: FIRST_LONGEST_REST });
    return [...edits, ...needed.map(([key, value]) => ({ do: "set", at: `${place}.${key}`, value }))];
  }

  // When it starts

  drawBases({ anchor }) {
    const others = this.desk.followable(this.owner.load);
    const changes = others.flatMap((load) => ["on", "off"].map((state) => [`${load} ${state}`, WORDS.goes(load, state)]));
    const bases = [[CLOCK, WORDS.clock], ...SUN.map((name) => [name, name]), ...changes];
    if (anchor !== null && !bases.some(([value]) => value === anchor.base)) {
      const change = followed(anchor.base);
      bases.push([anchor.base, WORDS.goes(change.load, change.isOn ? "on" : "off")]);
    }
    const key = JSON.stringify(bases);
    if (this.basesKey === key) return;
    this.basesKey = key;
    this.base.replaceChildren(...bases.map(([value, words]) => {
      const option = make("option", "", words);
      option.value = value;
      return option;
    }));
  }

  drawAnchor(text) {
    const anchor = readAnchor(text);
    const isClock = anchor?.base === CLOCK;
    show(this.time, isClock);
    show(this.shift.element, anchor !== null && !isClock);
    this.base.value = anchor?.base ?? "";
    if (anchor === null) return;
    const time = timeText(anchor.s);
    if (isClock && this.time.value !== time && document.activeElement !== this.time) this.time.value = time;
    if (!isClock) {
      const by = lengthWhole(Math.abs(anchor.s));
      this.shift.write(anchor.s ? WORDS.shifted(by, anchor.s < 0) : WORDS.exactly);
    }
  }

  anchorWanted() {
    return readAnchor(this.anchor.wish.shown(this.anchor.own));
  }

  /** Ties it to something else; it stays where it is, or is on its way to be, on this day. */
  tie(base) {
    const ms = this.momentWanted();
    this.anchor.commit(anchorText(ms === null ? { base, s: 0 } : this.desk.day.tied(ms, base)));
  }

  momentWanted() {
    const { day } = this.desk;
    const { anchor, ms } = this.piece;
    const wanted = this.anchorWanted();
    if (day === null || wanted === null) return null;
    if (wanted.base !== anchor?.base) return day.momentOf(wanted);
    return ms === null ? null : ms + (wanted.s - anchor.s) * 1000;
  }

  shiftBy(direction) {
    const anchor = this.anchorWanted();
    if (anchor === null) return;
    const round = direction > 0 ? Math.floor : Math.ceil;
    const s = (round(anchor.s / SHIFT_S) + direction) * SHIFT_S;
    if (Math.abs(s) <= DAY_S / 2) this.anchor.commit(anchorText({ ...anchor, s }));
  }

  shiftTo(text) {
    const anchor = this.anchorWanted();
    const sign = WORDS.isBefore(text) ?? anchor.s < 0 ? "-" : "+";
    const seconds = typedLength(WORDS.lengthIn(text));
    this.anchor.commit(`${anchor.base} ${sign} ${seconds === null ? text.trim() : lengthText(seconds)}`);
  }

  /** Brings what is changed most into sight, and the focus along where it is wanted. */
  enter(isFocused) {
    this.element.querySelector(".part").scrollIntoView({ block: "nearest" });
    if (isFocused) this.title.focus();
  }

  close() {
    const { chosen } = this.owner;
    this.owner.open(null);
    this.owner.chips.get(chosen)?.focus();
  }
}
