/** The cautions, where a relay may switch mains. */

import { make } from "/static/dom.js";
import { CAUTIONS } from "/static/words/cautions.js";
import { WORDS } from "/static/words/settings.js";

/** What to heed, to be opened where one stands; `isOpen` at first. */
export function beware(isOpen = false) {
  const list = make("ul", "", ...CAUTIONS.map((caution) => make("li", "", caution)));
  const element = make("details", "beware", make("summary", "", WORDS.beware), list);
  element.open = isOpen;
  return element;
}
