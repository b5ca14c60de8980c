/** The points of a pump's curve: so much flows at such a height. */

import { numberOr } from "/static/editor/schema.js";
import { POINTS } from "/static/words/rows.js";

const NUMBERED = /\bpoint (\d+)/g; // as the plan's reader tells of one

/** As `PairRows` takes it: [L/h, m], text where something is no number. */
export const CURVE = {
  key: "curve",
  words: POINTS,
  first: 3, // nothing lifted, something between, nothing flows any more
  read: (texts) => texts.map(numberOr),
  placesIn: ({ message }) => [...message.matchAll(NUMBERED)].map(([, number]) => Number(number) - 1),
};
