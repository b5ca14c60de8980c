/** Stands, lifts and reservoirs of a run, or of one before and one after: what a plan does to water,
 * block by block. Drawn again, it changes in place. */

import { arrange } from "/static/arrange.js";
import { make, show, write } from "/static/dom.js";
import { accountColumns } from "/static/preview/account.js";
import { COURSE, WATER } from "/static/words/water.js";

const ALIKE = "lifts"; // what a pump lifts is the same on any day
const KINDS = ["stands", ALIKE, "reservoirs"];

/** What a run tells of a kind, as an account takes it; of a plan without water it is nothing. */
const runOf = (water, kind) => ({ loads: Object.entries(water?.[kind] ?? {}).map(([name, one]) => ({ name, ...one })) });

export class WaterBlocks {
  /** `level` is that of its headings, those of names are one below. */
  constructor(level) {
    this.level = level;
    this.blocks = new Map(KINDS.map((kind) => [kind, this.block(kind)]));
    this.hint = make("p", "hint", WATER.hint);
    this.element = make("div", "water-blocks", ...[...this.blocks.values()].map(({ element }) => element), this.hint);
  }

  block(kind) {
    const home = make("div");
    const sentences = make("ul", "plain water-sentences");
    sentences.setAttribute("role", "list");
    const element = make("section", "water-block", make(`h${this.level}`, "water-title", WATER[kind]), sentences, home);
    element.dataset.water = kind;
    return { element, sentences, home };
  }

  /** Draws runs in columns {title, first, second}: what each tells of water, or null; `second` undefined
   * where there is one run alone. `figures` has a list for each kind. */
  draw(columns, figures) {
    for (const [kind, { element, sentences, home }] of this.blocks) {
      const told = kind === ALIKE ? [{ ...columns[0], title: "" }] : columns;
      const pairs = told.map(({ title, first, second }) => ({
        title, first: runOf(first, kind), second: second === undefined ? null : runOf(second, kind),
      }));
      const isThere = pairs.some(({ first, second }) => first.loads.length + (second?.loads.length ?? 0) > 0);
      show(element, isThere);
      if (isThere) accountColumns(home, pairs, { figures: figures[kind], level: this.level + 1, caption: WATER.caption });
      arrange(sentences, isThere ? sentencesOf(pairs[0]) : []);
    }
  }
}

/** Whether each pump lifts that high, by the newer plan. */
function sentencesOf({ first, second }) {
  const told = (second ?? first).loads.filter(({ words }) => words);
  return told.map(({ name, words, lifts }) => {
    const line = make("li", lifts ? "" : "is-bad");
    write(line, COURSE.title(name, words));
    return line;
  });
}
