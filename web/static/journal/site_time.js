/** Days and times of the site, as fields and addresses hold them. */

import { zoneName } from "/static/moments.js";

const MINUTE_MS = 60_000;

function partsOf(ms) {
  const format = new Intl.DateTimeFormat("en-CA", {
    timeZone: zoneName(), hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit",
    hour: "2-digit", minute: "2-digit",
  });
  return Object.fromEntries(format.formatToParts(ms).map((part) => [part.type, part.value]));
}

/** `2026-07-01`: the site's date at an instant. */
export function dateText(ms) {
  const { year, month, day } = partsOf(ms);
  return `${year.padStart(4, "0")}-${month}-${day}`;
}

/** `03:00`: what the site's clocks show at an instant. */
export function timeText(ms) {
  const { hour, minute } = partsOf(ms);
  return `${hour}:${minute}`;
}

/** `3 Jan 2026`: the site's date as the browser's locale writes it, with the year. */
export const dateLong = (ms) =>
  new Intl.DateTimeFormat(undefined, { timeZone: zoneName(), dateStyle: "medium" }).format(ms);

/** The date on which clocks showed that time for the last time. */
export function lastDateOf(time, nowMs) {
  const isPast = time <= timeText(nowMs);
  if (isPast) return dateText(nowMs);
  // Some instant of yesterday: this minute, less as many hours as today has had, and one more.
  const hours = Number(timeText(nowMs).slice(0, 2)) + 1;
  return dateText(nowMs - hours * 60 * MINUTE_MS);
}
