/** Ends of lines: a file has CR LF or LF, or both; a field of text knows LF alone. */

// A letter, or an end of line: each is one letter in a field.
const LETTERS = /\r\n?|[^\r]/g;
const ENDS = ["\r\n", "\n"];

/** A text as a field shows it. */
export const inField = (text) => text.replace(/\r\n?/g, "\n");

/** What was typed into a field, as the text that it showed before would have it: what stayed keeps
 * its ends of line, and a new line ends as the one in which it was typed. */
export function typedOver(text, typed) {
  const shown = inField(text);
  const letters = text.match(LETTERS) ?? [];
  const most = Math.min(shown.length, typed.length);
  let start = 0;
  while (start < most && shown[start] === typed[start]) start += 1;
  let tail = 0;
  while (tail < most - start && shown.at(-1 - tail) === typed.at(-1 - tail)) tail += 1;
  const isEnd = (letter) => ENDS.includes(letter);
  const end = letters.slice(start).find(isEnd) ?? letters.findLast(isEnd) ?? "\n";
  const middle = typed.slice(start, typed.length - tail).replaceAll("\n", end);
  return [...letters.slice(0, start), middle, ...letters.slice(letters.length - tail)].join("");
}
