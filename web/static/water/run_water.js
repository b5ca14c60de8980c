/** What runs of plans did to water: one, or two side by side. */

import { make } from "/static/dom.js";
import { formatIn } from "/static/moments.js";
import { WaterBlocks } from "/static/water/blocks.js";
import { LIFT_FIGURES, reservoirFigures, standFigures } from "/static/water/figures.js";
import { WATER } from "/static/words/water.js";

const DAY_MS = 86_400_000;
const LEVEL = 4;

/** Draws into `home` what each of the runs, one or two, tells of water. */
export function drawRunWater(home, runs, zone) {
  const moment = (ms) => formatIn(zone, {
    weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
  }).format(ms);
  const [first, second] = runs;
  const days = (Date.parse(first.to_utc) - Date.parse(first.from_utc)) / DAY_MS;
  const blocks = new WaterBlocks(LEVEL);
  blocks.draw([{ title: "", first, second }], {
    stands: standFigures(moment, days), lifts: LIFT_FIGURES, reservoirs: reservoirFigures(moment),
  });
  home.replaceChildren(blocks.element);
  const assumed = new Set(runs.flatMap(({ assumptions }) => assumptions ?? []));
  if (assumed.size) home.append(make("p", "hint", [WATER.assumed, ...assumed].join(" ")));
}
