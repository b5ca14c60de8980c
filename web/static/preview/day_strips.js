/** A day as strips, one a load: what a plan would do, thinly below it what the plan before it does
 * where that differs, the longest dry gap marked, night and day behind, the hours below. Drawn
 * again, it changes in place. */

import { arrange } from "/static/arrange.js";
import { make, show, write } from "/static/dom.js";
import { clockMinute } from "/static/moments.js";
import { lengthFine } from "/static/preview/figures.js";
import { skyOf, skyParts } from "/static/preview/sky.js";
import { drawn, hoursBelow } from "/static/strip.js";
import { STRIPS } from "/static/words/preview.js";

const HEIGHT = 10; // of a strip's own coordinates

export class DayStrips {
  constructor() {
    this.rows = new Map();
    this.sky = make("div", "sky-row");
    this.sky.setAttribute("aria-hidden", "true"); // the words below it tell the same
    this.sun = make("p", "hint");
    this.list = make("ul", "plain day-loads");
    this.list.setAttribute("role", "list");
    this.hours = make("div", "day-hours");
    this.element = make("div", "day-strips", this.sky, this.list, this.hours, this.sun);
    this.drawnFor = "";
  }

  /** Draws a day as the preview tells it; `before`, that day of the plan before, or null. */
  draw(day, before) {
    const stretch = { from: Date.parse(day.from_utc), to: Date.parse(day.to_utc) };
    stretch.seconds = (stretch.to - stretch.from) / 1000;
    this.drawSky(day, stretch);
    const loads = day.loads.map((load) => [load, loadIn(before, load.name)]);
    const gone = before === null ? [] : before.loads.filter(({ name }) => loadIn(day, name) === null);
    for (const load of gone) loads.push([null, load]);
    const names = loads.map(([load, other]) => (load ?? other).name);
    for (const name of [...this.rows.keys()]) if (!names.includes(name)) this.rows.delete(name);
    arrange(this.list, loads.map(([load, other]) => this.row(load, other, before !== null, stretch)));
  }

  row(load, other, hasBefore, stretch) {
    const { name } = load ?? other;
    if (!this.rows.has(name)) this.rows.set(name, new LoadRow(name));
    const row = this.rows.get(name);
    row.draw(load, other, hasBefore, stretch, this.parts);
    return row.element;
  }

  /** Sun and hours are those of the date: another edit seldom changes them. */
  drawSky(day, { from, to }) {
    const key = JSON.stringify([day.sun, day.from_utc, day.to_utc]);
    if (key === this.drawnFor) return;
    this.drawnFor = key;
    this.parts = skyParts(day.sun, from, to);
    this.sky.replaceChildren(...skyOf(this.parts, true));
    this.hours.replaceChildren(hoursBelow(from, to));
    const times = Object.entries(day.sun).map(([name, at]) => [name, at && clockMinute(Date.parse(at))]);
    write(this.sun, STRIPS.sun(Object.fromEntries(times)));
  }
}

const loadIn = (day, name) => day?.loads.find((load) => load.name === name) ?? null;

class LoadRow {
  constructor(name) {
    this.words = make("span");
    this.note = make("span", "strip-note");
    this.bars = new Bars("strip", "was-on");
    this.beforeBars = new Bars("strip", "was-before");
    this.before = make("div", "strip-before", this.beforeBars.element);
    this.gap = make("span", "gap-mark");
    this.sky = make("div", "strip-sky");
    this.home = make("div", "strip-home", this.sky, this.bars.element, this.gap);
    this.home.setAttribute("aria-hidden", "true");
    const title = make("p", "strip-title", make("strong", "", name), " ", this.words, " ", this.note);
    this.element = make("li", "strip-row", title, this.home, this.before);
    this.element.dataset.load = name;
    this.skyParts = null;
  }

  draw(load, before, hasBefore, stretch, parts) {
    const isOther = hasBefore && (load === null || before === null || load.changed === true);
    this.element.classList.toggle("is-alike", hasBefore && !isOther);
    write(this.words, wordsOf(load ?? before, stretch));
    write(this.note, load === null ? STRIPS.isGone : hasBefore && before === null ? STRIPS.isNew : "");
    show(this.home, load !== null);
    if (load !== null) this.bars.draw(load.on, stretch.seconds);
    show(this.before, isOther && before !== null);
    if (isOther && before !== null) this.beforeBars.draw(before.on, stretch.seconds);
    this.drawGap(load, stretch);
    if (this.skyParts === parts) return;
    this.skyParts = parts;
    this.sky.replaceChildren(...skyOf(parts, false));
  }

  drawGap(load, { from, seconds }) {
    const isMarked = load !== null && load.kind === "pump" && load.longest_dry_gap_s > 0;
    show(this.gap, isMarked);
    if (!isMarked) return;
    const start = (Date.parse(load.longest_dry_gap_from_utc) - from) / 1000;
    this.gap.style.left = `${((100 * start) / seconds).toFixed(3)}%`;
    this.gap.style.width = `${((100 * load.longest_dry_gap_s) / seconds).toFixed(3)}%`;
  }
}

function wordsOf(load, { seconds }) {
  if (load.on_s <= 0) return STRIPS.neverOn;
  if (load.on_s >= seconds) return STRIPS.alwaysOn;
  const gapAt = load.longest_dry_gap_from_utc && Date.parse(load.longest_dry_gap_from_utc);
  return STRIPS.load({
    kind: load.kind,
    starts: load.starts,
    on: lengthFine(load.on_s),
    gap: load.longest_dry_gap_s > 0 ? lengthFine(load.longest_dry_gap_s) : "",
    at: gapAt ? clockMinute(gapAt) : "",
  });
}

/** All bars of a strip as one path: one attribute to change, however many there are. */
class Bars {
  constructor(className, pathClass) {
    this.path = drawn("path", { class: pathClass });
    this.element = drawn("svg", { preserveAspectRatio: "none", "aria-hidden": "true", class: className });
    this.element.append(this.path);
    this.drawnFor = "";
  }

  draw(on, seconds) {
    const outline = on.map(([from, to]) => `M${from} 0H${to}V${HEIGHT}H${from}Z`).join("");
    if (this.drawnFor === `${seconds} ${outline}`) return;
    this.drawnFor = `${seconds} ${outline}`;
    this.element.setAttribute("viewBox", `0 0 ${seconds} ${HEIGHT}`);
    this.path.setAttribute("d", outline);
  }
}
