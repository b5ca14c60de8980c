/** The words of findings, wherever they are shown. */

import { plural } from "/static/words/counts.js";
import { ended } from "/static/words/sentences.js";

/** What a finding of each grade is called; the gravest first. A limit that the plan states, and the
 * run breaks, is an error of the run and not of the plan. */
export const GRADES = { limit: "Limit broken", error: "Error", warning: "Warning", note: "Note" };

const COUNTED = {
  limit: ["limit broken", "limits broken"],
  error: ["error", "errors"],
  warning: ["warning", "warnings"],
  note: ["note", "notes"],
};

/** `2 limits broken`. */
export const countOf = (grade, count) => plural(count, ...COUNTED[grade]);

/** `To mend it: shorten the off steps.` */
export const mendWords = (text) => `To mend it: ${ended(text)}`;

/** `loads.pump.line (line 8)`. */
export const placeWords = (place, line) => (line ? `${place} (line ${line})` : place);
