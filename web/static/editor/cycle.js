/** Cycles as a plan writes them: `on`, `off`, steps such as `15m on, 45m off`, or `demand`. */

import { lengthOf, lengthText } from "/static/editor/lengths.js";

/** The cycle of a span whose lengths follow what the plants drink. */
export const DEMAND = "demand";

const STEP = /^(.+?)\s+(on|off)$/;

/** {steps: [{isOn, s}]}, or {steady: true or false, steps: []}; null where it is no cycle. */
export function readCycle(text) {
  const plain = String(text).trim();
  if (plain === "on" || plain === "off") return { steady: plain === "on", steps: [] };
  const steps = plain.split(",").map((part) => {
    const found = STEP.exec(part.trim());
    const length = found && lengthOf(found[1]);
    return length ? { isOn: found[2] === "on", s: length } : null;
  });
  return steps.includes(null) ? null : { steady: null, steps };
}

/** Whether a span is on demand. */
export const isOnDemand = (span) => String(span.cycle ?? "").trim() === DEMAND;

/** What a span does, as `readCycle` has it; on demand, its fixed cycle with `isOnDemand`. */
export function readSpan(span) {
  if (!isOnDemand(span)) return readCycle(span.cycle ?? "");
  return { ...(readCycle(span.fixed ?? "") ?? { steady: null, steps: [] }), isOnDemand: true };
}

/** The cycle as a plan writes it. */
export function cycleText({ steady, steps }) {
  if (steady !== null) return steady ? "on" : "off";
  return steps.map(({ isOn, s }) => `${lengthText(s)} ${isOn ? "on" : "off"}`).join(", ");
}

/** When a cycle that starts at `from` is on until `to`: intervals [start, end] in seconds. */
export function onWithin({ steady, steps }, from, to) {
  if (steady !== null) return steady ? [[from, to]] : [];
  const found = [];
  for (let at = from; at < to;) {
    for (const { isOn, s } of steps) {
      if (isOn && at < to) found.push([at, Math.min(at + s, to)]);
      at += s;
    }
    if (found.length > 20_000) break; // a second on, a second off: no eye tells them apart
  }
  return found;
}
