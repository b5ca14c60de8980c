/** What is left to the roots of a stand through a day: a band of what sources allow, the likely line,
 * the reserve, the driest moment, and the driest of the plan before. Words beside it tell the same.
 * Drawn again, it changes in place. */

import { make, show, write } from "/static/dom.js";
import { clockMinute } from "/static/moments.js";
import { skyOf } from "/static/preview/sky.js";
import { drawn } from "/static/strip.js";
import { rangeWords, shareText } from "/static/water/amounts.js";
import { COURSE } from "/static/words/water.js";

const PARTS = 1_000; // a course's shares are thousandths

export class RootCourse {
  constructor(name) {
    this.name = name;
    this.band = drawn("path", { class: "course-band" });
    this.likely = drawn("path", { class: "course-likely" });
    this.svg = drawn("svg", { preserveAspectRatio: "none", class: "course-drawing" });
    this.svg.append(this.band, this.likely);
    this.sky = make("div", "strip-sky");
    this.reserve = make("span", "course-reserve", make("span", "course-label", COURSE.reserve));
    this.driest = make("span", "course-driest");
    this.before = make("span", "course-before");
    this.home = make("div", "strip-home course", this.sky, this.svg, this.reserve, this.before, this.driest,
      make("span", "course-label is-full", COURSE.full), make("span", "course-label is-empty", COURSE.empty));
    this.home.setAttribute("aria-hidden", "true");
    this.title = make("p", "strip-title");
    this.element = make("li", "course-row", this.title, this.home);
    this.element.dataset.stand = name;
    this.drawnFor = null;
  }

  /** `course` is [seconds, low, likely, high] after `stretch.from`, or null; `stand` its account,
   * `before` that of the plan before or null; `sky` the parts of the day's sky. */
  draw({ course, stand, before, stretch, sky }) {
    write(this.title, COURSE.title(this.name, wordsOf(stand, before)));
    show(this.home, course !== null && stand.driest_share !== null);
    if (this.home.hidden) return;
    if (this.drawnFor !== course) this.drawCourse(course, stretch.seconds);
    this.drawnFor = course;
    this.reserve.style.bottom = `${100 * stand.reserve}%`;
    placeMark(this.driest, stand, stretch);
    const isOther = before?.driest_share && textOf(before) !== textOf(stand);
    show(this.before, Boolean(isOther));
    if (isOther) placeMark(this.before, before, stretch);
    this.sky.replaceChildren(...skyOf(sky, false));
  }

  drawCourse(course, seconds) {
    const y = (share) => PARTS - share;
    const line = (points) => points.map(([at, share], place) => `${place ? "L" : "M"}${at} ${y(share)}`).join("");
    const highs = course.map(([at, , , high]) => [at, high]);
    const lows = course.map(([at, low]) => [at, low]).reverse();
    this.svg.setAttribute("viewBox", `0 0 ${seconds} ${PARTS}`);
    this.band.setAttribute("d", `${line([...highs, ...lows])}Z`);
    this.likely.setAttribute("d", line(course.map(([at, , likely]) => [at, likely])));
  }
}

const textOf = ({ driest_share: share, driest_utc: at }) => `${shareText(share.likely)} ${clockMinute(Date.parse(at))}`;

function placeMark(mark, { driest_share: share, driest_utc: at }, { from, seconds }) {
  mark.style.left = `${((100 * (Date.parse(at) - from)) / 1000 / seconds).toFixed(3)}%`;
  mark.style.bottom = `${(100 * share.likely).toFixed(2)}%`;
}

function wordsOf(stand, before) {
  const share = stand.driest_share;
  if (share === null) return COURSE.nothing;
  const at = clockMinute(Date.parse(stand.driest_utc));
  const parts = [COURSE.driest(at, shareText(share.likely), rangeWords(share, shareText), shareText(stand.reserve))];
  if (before?.driest_share && textOf(before) !== textOf(stand)) {
    parts.push(COURSE.before(clockMinute(Date.parse(before.driest_utc)), shareText(before.driest_share.likely)));
  }
  return `${parts.join("; ")}.`;
}

/** What the marks mean. */
export function keyOfCourses() {
  const entry = (name, text) => {
    const swatch = make("span", `swatch ${name}`);
    return make("span", "swatch-entry", swatch, text);
  };
  const key = make("p", "strips-key",
    entry("is-likely", COURSE.keyLikely), " ", entry("is-range", COURSE.keyRange), " ",
    entry("is-reserve", COURSE.keyReserve), " ", entry("is-driest", COURSE.keyDriest), " ",
    entry("is-driest-before", COURSE.keyBefore));
  key.setAttribute("aria-hidden", "true");
  return key;
}
