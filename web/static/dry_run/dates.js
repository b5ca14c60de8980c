/** Local dates as `2026-07-01`, and moments in the zone of whichever plan was carried out. */

const DAY_MS = 86_400_000;
const SHAPE = /^\d{4}-\d{2}-\d{2}$/;
const formats = new Map();

function format(zone, options) {
  const key = `${zone} ${JSON.stringify(options)}`;
  if (!formats.has(key)) {
    formats.set(key, new Intl.DateTimeFormat(undefined, { timeZone: zone, ...options }));
  }
  return formats.get(key);
}

/** The zone itself, or UTC where this browser does not know it. */
export function knownZone(zone) {
  try {
    format(zone, { hour: "numeric" });
    return zone;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return "UTC";
  }
}

/** Whether a text is a date that exists. */
export const isDate = (text) =>
  SHAPE.test(text) && !Number.isNaN(Date.parse(`${text}T00:00Z`)) && new Date(`${text}T00:00Z`).toISOString().startsWith(text);

/** The date that the clocks of a zone show at an instant. */
export function dateAt(ms, zone) {
  const parts = new Intl.DateTimeFormat("en-US-u-ca-iso8601", {
    timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit",
  }).formatToParts(ms);
  const part = (type) => parts.find((one) => one.type === type).value;
  return `${part("year").padStart(4, "0")}-${part("month")}-${part("day")}`;
}

/** The date so many days later; null where there is none that can be written. */
export function daysAfter(date, days) {
  const later = new Date(Date.parse(`${date}T00:00Z`) + days * DAY_MS);
  return Number.isNaN(later.getTime()) || later.getUTCFullYear() > 9999 ? null : later.toISOString().slice(0, 10);
}

/** `Wed, 1 Jul 2026`. */
export const dateWords = (date) =>
  format("UTC", { weekday: "short", day: "numeric", month: "short", year: "numeric" }).format(
    Date.parse(`${date}T00:00Z`),
  );

/** `Wed, 1 Jul, 00:41:05`, in a zone. */
export const momentWords = (ms, zone) =>
  format(zone, {
    weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", second: "2-digit",
  }).format(Math.floor(ms / 1000) * 1000);
