/** The words of findings, in the form and in what came of a run. */

import { plural } from "/static/words/counts.js";
import { ended } from "/static/words/sentences.js";

export const WORDS = {
  levels: { error: "Error", warning: "Warning", note: "Note" },
  limit: "Limit broken",
  mend: (text) => `To change: ${ended(text)}`,
  placeWithLine: (where, line) => `${where} (line ${line})`,
  findingCounts: ([errors, warnings, notes]) => {
    const parts = [];
    if (errors) parts.push(plural(errors, "error", "errors"));
    if (warnings) parts.push(plural(warnings, "warning", "warnings"));
    if (notes) parts.push(plural(notes, "note", "notes"));
    return `${parts.join(", ")}.`;
  },
};
