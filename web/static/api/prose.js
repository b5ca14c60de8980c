/** Sentences of the description, in which `names` stand between backticks. */

import { make } from "/static/dom.js";
import { ended } from "/static/words/sentences.js";

/** A text's parts, names as code: to be put into an element. */
export const prose = (text) =>
  ended(text).split("`").map((part, at) => (at % 2 ? make("code", "", part) : part));
