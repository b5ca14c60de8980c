/** Local dates as `2026-07-01`, and moments in the zone of whichever plan was carried out. */

import { formatIn } from "/static/moments.js";

const DAY_MS = 86_400_000;
const SHAPE = /^\d{4}-\d{2}-\d{2}$/;

/** Whether a text is a date that exists. */
export const isDate = (text) =>
  SHAPE.test(text) && !Number.isNaN(Date.parse(`${text}T00:00Z`)) && new Date(`${text}T00:00Z`).toISOString().startsWith(text);

/** The date so many days later; null where there is none that can be written. */
export function daysAfter(date, days) {
  const later = new Date(Date.parse(`${date}T00:00Z`) + days * DAY_MS);
  return Number.isNaN(later.getTime()) || later.getUTCFullYear() > 9999 ? null : later.toISOString().slice(0, 10);
}

/** `Wed, 1 Jul 2026`. */
export const dateWords = (date) =>
  formatIn("UTC", { weekday: "short", day: "numeric", month: "short", year: "numeric" }).format(
    Date.parse(`${date}T00:00Z`),
  );

/** `Wed, 1 Jul, 00:41:05`, in a zone. */
export const momentWords = (ms, zone) =>
  formatIn(zone, {
    weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", second: "2-digit",
  }).format(Math.floor(ms / 1000) * 1000);
