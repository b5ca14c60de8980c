/** A stretch of time as a strip: when something was on, and the hours below. */

import { make } from "/static/dom.js";
import { fullHours } from "/static/moments.js";

const SVG = "http://www.w3.org/2000/svg";

/** An SVG element with attributes. */
export function drawn(tag, attributes = {}) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}

/** A box with a bar for each interval [from, to] of `on`, in seconds of a stretch of `seconds`.
 * Screen readers pass it over: words beside it tell the same. */
export function strip(on, seconds, className = "was-on") {
  const svg = drawn("svg", {
    viewBox: `0 0 ${seconds} 10`, preserveAspectRatio: "none", "aria-hidden": "true", class: "strip",
  });
  for (const [start, end] of on) {
    svg.append(drawn("rect", { x: start, y: 0, width: end - start, height: 10, class: className }));
  }
  return make("div", "strip-home", svg);
}

/** Lays a mark over what of [from, to] lies within the strip; nothing where that is nothing. Words
 * beside it must tell the same. Kinds: `is-unknown`, `is-to-come`, `is-long-gap`, and `is-ordered-on`
 * and `is-ordered-off` where the plan wanted the other state. */
export function layOver(home, kind, [from, to], seconds) {
  const [left, right] = [Math.max(0, from), Math.min(seconds, to)];
  if (right <= left) return;
  const mark = make("span", `over ${kind}`);
  mark.style.left = `${(100 * left) / seconds}%`;
  mark.style.width = `${(100 * (right - left)) / seconds}%`;
  home.append(mark);
}

/** The site's full hours below a strip: every third. */
export function hoursBelow(fromMs, toMs) {
  const row = make("div", "axis");
  row.setAttribute("aria-hidden", "true");
  for (const { at, text, hour } of fullHours(fromMs, toMs)) {
    row.append(tickAt((at - fromMs) / (toMs - fromMs), text, hour));
  }
  return row;
}

/** An hour of the day at a part of an axis, 0 to 1; where room is little, noon and midnight stay. */
export function tickAt(part, text, hour) {
  const kind = hour % 6 ? " is-third" : hour % 12 ? " is-sixth" : "";
  const tick = make("span", `tick${kind}`, text);
  tick.style.setProperty("--part", part);
  return tick;
}
