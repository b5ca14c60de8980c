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

/** The site's full hours below a strip: each `step` hours, every other one bolder. */
export function hoursBelow(fromMs, toMs, step = 3) {
  const row = make("div", "axis");
  row.setAttribute("aria-hidden", "true");
  for (const { at, text, hour } of fullHours(fromMs, toMs, step)) {
    const part = (at - fromMs) / (toMs - fromMs);
    if (part > 0.97 || part < 0.03) continue; // it would hang over the edge
    const tick = make("span", hour % (2 * step) ? "tick is-minor" : "tick", text);
    tick.style.left = `${100 * part}%`;
    row.append(tick);
  }
  return row;
}
