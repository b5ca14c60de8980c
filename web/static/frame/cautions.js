/** The cautions, folded away where a hazard is met and space is short. */

import { make } from "/static/dom.js";
import { CAUTIONS } from "/static/words/cautions.js";
import { WORDS } from "/static/words/frame.js";

/** A part to open, with all of them. */
export function cautionList() {
  const list = make("ul", "", ...CAUTIONS.map((caution) => make("li", "", caution)));
  return make("details", "caution-list", make("summary", "", WORDS.allCautions), list);
}
