/** The days of a preview, one below the other; those on which nothing changes are folded. */

import { arrange } from "/static/arrange.js";
import { make, write } from "/static/dom.js";
import { brokenLimits, changedNames, dayBefore, isOther } from "/static/preview/comparing.js";
import { DayStrips } from "/static/preview/day_strips.js";
import { dayTitle } from "/static/preview/day_words.js";
import { DAYS, STRIPS } from "/static/words/preview.js";

const HOUR_MS = 3_600_000;
const USUAL_HOURS = 24;

export class Days {
  constructor() {
    this.days = new Map();
    this.drawWater = null;
    this.key = keyOfStrips();
    this.list = make("div", "paper-days");
    this.element = make("div", "", this.key, this.list);
  }

  /** Draws the days of a preview. */
  draw(preview) {
    const hasChange = preview.days.some((day) => isOther(day, dayBefore(preview, day)));
    const keys = new Set();
    const elements = preview.days.map((day) => {
      const key = `${day.part} ${day.date}`;
      keys.add(key);
      if (!this.days.has(key)) this.days.set(key, new Day(this));
      const one = this.days.get(key);
      one.draw(day, dayBefore(preview, day), !hasChange && day.part === "next");
      return one.element;
    });
    for (const key of [...this.days.keys()]) if (!keys.has(key)) this.days.delete(key);
    arrange(this.list, elements);
  }

  /** From now on `drawWater(home, day, before)` draws what a day does to roots. */
  setWater(drawWater) {
    this.drawWater = drawWater;
    for (const day of this.days.values()) day.drawRoots();
  }
}

class Day {
  constructor(owner) {
    this.owner = owner;
    this.title = make("h4", "day-title");
    this.note = make("span", "day-note");
    this.strips = new DayStrips();
    this.water = make("div");
    this.remark = make("p", "hint");
    const head = make("summary", "day-head", this.title, " ", this.note);
    this.element = make("details", "paper-day", head, this.strips.element, this.water, this.remark);
    this.wish = null; // what the reader chose, open or not; null: as it changes
    this.told = null;
    this.isDrawn = false; // what is told, so that somebody who looks sees it
    head.addEventListener("click", () => {
      this.wish = !this.element.open;
    });
    this.element.addEventListener("toggle", () => this.drawInside());
  }

  draw(day, before, isOpenUnchanged) {
    const names = changedNames(day, before);
    const broken = brokenLimits(day).length;
    this.element.dataset.date = day.date;
    const hasChange = isOther(day, before);
    this.element.classList.toggle("is-other", hasChange);
    write(this.title, dayTitle(day));
    const notes = [before === null ? "" : names.length ? DAYS.changes(names) : hasChange ? DAYS.roots : DAYS.alike];
    if (broken) notes.unshift(DAYS.breaks(broken));
    write(this.note, notes.filter(Boolean).join(", "));
    this.told = { day, before };
    this.isDrawn = false;
    const isOpen = this.wish ?? (hasChange || isOpenUnchanged);
    if (this.element.open !== isOpen) this.element.open = isOpen;
    this.drawInside();
  }

  /** What is folded is not drawn: an edit redraws all days. */
  drawInside() {
    if (!this.element.open || this.told === null || this.isDrawn) return;
    const { day, before } = this.told;
    this.isDrawn = true;
    this.strips.draw(day, before);
    const hours = (Date.parse(day.to_utc) - Date.parse(day.from_utc)) / HOUR_MS;
    const remarks = hours === USUAL_HOURS ? [day.air] : [DAYS.length(hours), day.air];
    write(this.remark, remarks.join(" "));
    this.drawRoots();
  }

  drawRoots() {
    if (!this.isDrawn) return;
    const { day, before } = this.told;
    this.owner.drawWater?.(this.water, day, before);
  }
}

/** What the strips' marks mean. */
function keyOfStrips() {
  const entry = (name, text) => {
    const swatch = make("span", `swatch ${name}`);
    swatch.setAttribute("aria-hidden", "true");
    return make("span", "swatch-entry", swatch, text);
  };
  const key = make(
    "p", "strips-key",
    entry("is-draft", STRIPS.keyDraft), " ", entry("is-before", STRIPS.keyBefore), " ",
    entry("is-gap", STRIPS.keyGap), " ", entry("is-night", STRIPS.keyNight),
  );
  key.setAttribute("aria-hidden", "true"); // of drawings, which words beside them tell
  return key;
}
