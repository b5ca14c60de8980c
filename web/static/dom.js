/** Small hands for the document. */

/** The element of that id. */
export const byId = (id) => document.getElementById(id);

/** A new element with a class, text and children. */
export function make(tag, className = "", ...inside) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  element.append(...inside);
  return element;
}

/** A button that does something. */
export function button(className, text, act) {
  const element = make("button", className, text);
  element.type = "button";
  element.addEventListener("click", act);
  return element;
}

/** Writes text only where it differs: a screen reader is not told twice, a selection stays. */
export function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** A text of the controller, in parts to append: what it has between `backticks` is to be typed. */
export function prose(text) {
  const parts = text.split("`");
  if (parts.length % 2 === 0) return [text]; // one of them stands alone, and means itself
  return parts.map((part, place) => (place % 2 ? make("code", "", part) : part));
}

/** Writes a text of the controller, as `write` does. */
export function writeProse(element, text) {
  if (element.prose === text) return;
  element.prose = text;
  element.replaceChildren(...prose(text));
}

/** Shows or hides. */
export function show(element, isShown) {
  if (element.hidden === isShown) element.hidden = !isShown;
}

/** Puts a catalogue's words into the markup: as text, and as what a screen reader calls a part. */
export function nameParts(root, names) {
  for (const part of root.querySelectorAll("[data-word]")) part.textContent = names[part.dataset.word];
  for (const part of root.querySelectorAll("[data-word-label]")) {
    part.setAttribute("aria-label", names[part.dataset.wordLabel]);
  }
}
