/** What comes as a part of a sentence, made a whole one. */

/** With a capital. */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** With its end. */
export const ended = (text) => (!text || /[.?!]$/.test(text) ? text : `${text}.`);

/** With both. */
export const sentence = (text) => ended(capital(text));
