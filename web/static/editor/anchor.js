/** Anchors as a plan writes them: `06:30`, `sunrise - 30m`, `lamp on + 10m`. */

import { lengthOf, lengthText } from "/static/editor/lengths.js";

export const CLOCK = "clock";
export const SUN = ["sunrise", "sunset", "dawn", "dusk"];
export const DAY_S = 86_400;
const FARTHEST_S = 43_200; // a plan ties nothing farther from its anchor than half a day
const SHIFTED = /^(.+?)(?:\s*([+-])\s*([0-9][0-9hms.\s]*))?$/;
const TIME = /^(\d\d):(\d\d)(?::(\d\d))?$/;
const CHANGE = /^([A-Za-z][A-Za-z0-9_-]*)\s+(on|off)$/;

/** {base, s}: base is CLOCK, a sun event, or a change such as `lamp on`; s are the seconds after
 * it, for CLOCK those after midnight. Null where it is no anchor. */
export function readAnchor(text) {
  const found = SHIFTED.exec(String(text).trim());
  if (!found) return null;
  const [, plain, sign, by] = found;
  const length = sign ? lengthOf(by) : 0;
  if (length === null) return null;
  const offset = sign === "-" ? -length : length;
  const time = TIME.exec(plain);
  if (time) {
    const [hours, minutes, seconds] = time.slice(1).map((part) => Number(part ?? 0));
    return { base: CLOCK, s: hours * 3600 + minutes * 60 + seconds + offset };
  }
  if (SUN.includes(plain)) return { base: plain, s: offset };
  const change = CHANGE.exec(plain);
  return change ? { base: `${change[1]} ${change[2]}`, s: offset } : null;
}

/** The anchor as a plan writes it; what is too far from it comes from the other side of the day. */
export function anchorText({ base, s }) {
  if (base === CLOCK) return timeText(s);
  let offset = s % DAY_S;
  if (offset > FARTHEST_S) offset -= DAY_S;
  if (offset < -FARTHEST_S) offset += DAY_S;
  if (!offset) return base;
  return `${base} ${offset > 0 ? "+" : "-"} ${lengthText(Math.abs(offset))}`;
}

/** `06:30`, or `06:30:15` where it is not a full minute: a time of day in a plan. */
export function timeText(secondsOfDay) {
  const whole = Math.round(((secondsOfDay % DAY_S) + DAY_S) % DAY_S) % DAY_S;
  const parts = [whole / 3600, (whole % 3600) / 60, whole % 60].map(Math.floor);
  if (!parts[2]) parts.pop();
  return parts.map((part) => String(part).padStart(2, "0")).join(":");
}

/** The load that an anchor follows, and to which state; null for clock and sun. */
export function followed(base) {
  const change = CHANGE.exec(base);
  return change && { load: change[1], isOn: change[2] === "on" };
}
