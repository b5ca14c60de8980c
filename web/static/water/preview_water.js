/** The water of a preview: figures of the main days before and after, and roots through a day. */

import { arrange } from "/static/arrange.js";
import { make, show } from "/static/dom.js";
import { clockMinute } from "/static/moments.js";
import { dayBefore, mainDays } from "/static/preview/comparing.js";
import { dayColumn } from "/static/preview/day_words.js";
import { skyParts } from "/static/preview/sky.js";
import { WaterBlocks } from "/static/water/blocks.js";
import { RootCourse, keyOfCourses } from "/static/water/course.js";
import { LIFT_FIGURES, RESERVOIR_DAY_FIGURES, standFigures } from "/static/water/figures.js";
import { WATER } from "/static/words/water.js";

const LEVEL = 4;
const FIGURES = { stands: standFigures(clockMinute), lifts: LIFT_FIGURES, reservoirs: RESERVOIR_DAY_FIGURES };

export class PreviewWater {
  constructor(home) {
    this.blocks = new WaterBlocks(LEVEL);
    home.replaceChildren(make(`h${LEVEL - 1}`, "", WATER.title), this.blocks.element);
  }

  /** Draws a preview, each column with the plan in force before it, where there is one. */
  draw(preview) {
    const columns = mainDays(preview).map((day) => {
      const before = dayBefore(preview, day);
      const title = dayColumn(day);
      return before === null ? { title, first: day.water } : { title, first: before.water, second: day.water };
    });
    this.blocks.draw(columns, FIGURES);
  }
}

const drawn = new WeakMap();

/** Draws into `home` what is left to the roots through a day, where that is told. */
export function drawCourses(home, day, before) {
  if (!drawn.has(home)) drawn.set(home, new Courses(home));
  drawn.get(home).draw(day, before);
}

class Courses {
  constructor(home) {
    this.home = home;
    this.rows = new Map();
    this.list = make("ul", "plain");
    this.list.setAttribute("role", "list");
    home.replaceChildren(keyOfCourses(), this.list);
  }

  draw({ water, sun, from_utc: fromUtc, to_utc: toUtc }, before) {
    const courses = Object.entries(water?.courses ?? {});
    show(this.home, courses.length > 0);
    const [from, to] = [Date.parse(fromUtc), Date.parse(toUtc)];
    const stretch = { from, seconds: (to - from) / 1000 };
    const sky = skyParts(sun, from, to);
    for (const name of [...this.rows.keys()]) if (!courses.some(([one]) => one === name)) this.rows.delete(name);
    arrange(this.list, courses.map(([name, course]) => {
      if (!this.rows.has(name)) this.rows.set(name, new RootCourse(name));
      const row = this.rows.get(name);
      row.draw({ course, stand: water.stands[name], before: before?.water?.stands[name] ?? null, stretch, sky });
      return row.element;
    }));
  }
}
