/** The name of a load or a sensor; wherever the plan speaks of it, the new one comes in its place. */

import { Field } from "/static/editor/field.js";
import { WORDS } from "/static/words/settings.js";

/** A field for the name; `from` is the table in which it stands, `loads` or `sensors`. */
export function nameField(desk, { label, from, name }) {
  return new Field(desk, {
    label, hint: WORDS.nameHint,
    edits: (text) => [{ do: "rename", at: `${from}.${name}`, value: text.trim() }],
    words: (text) => WORDS.toldRenamed(name, text.trim()),
  });
}
