/** Instants as the browser's locale writes them, in the site's time zone or in one that is named. */

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
const formats = new Map();
let zone = "UTC";

/** The zone itself, or UTC where this browser does not know it. */
export function knownZone(name) {
  try {
    formatIn(name, { hour: "numeric" });
    return name;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return "UTC";
  }
}

/** From now on, times are those of this zone; one that the browser does not know is UTC. */
export function setZone(name) {
  if (name !== zone) zone = knownZone(name);
}

/** The zone in which times are written. */
export const zoneName = () => zone;

/** How the browser's locale writes instants in a zone. */
export function formatIn(name, options, locale) {
  const key = JSON.stringify([name, options, locale]);
  if (!formats.has(key)) {
    formats.set(key, new Intl.DateTimeFormat(locale, { timeZone: name, ...options }));
  }
  return formats.get(key);
}

const format = (options) => formatIn(zone, options);

/** `2026-07-01`: the date that the clocks of a zone show at an instant. */
export function dateIn(name, ms) {
  const options = { year: "numeric", month: "2-digit", day: "2-digit" };
  const { year, month, day } = partsOf(formatIn(name, options, "en-US-u-ca-iso8601"), ms);
  return `${year.padStart(4, "0")}-${month}-${day}`;
}

/** `2026-07-01`: the site's date at an instant. */
export const dateText = (ms) => dateIn(zone, ms);

/** `03:00`: what the site's clocks show at an instant, whatever the locale, as fields hold it. */
export function timeText(ms) {
  const { hour, minute } = partsOf(plainClock(), ms);
  return `${hour}:${minute}`;
}

/** `3 Jan 2026`. */
export const dateLong = (ms) => format({ dateStyle: "medium" }).format(ms);

// In digits that can be counted with.
const plainClock = (name = zone) => formatIn(name, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" }, "en");

/** What a format tells of an instant, by part. */
export const partsOf = (how, ms) => Object.fromEntries(how.formatToParts(ms).map(({ type, value }) => [type, value]));

const FIVE_MS = 5 * 3_600_000;

/** "numeric" hours are 5:01 where people write 05:01: the locale's own short times tell which. */
function hoursOfLocale() {
  const { hour } = partsOf(formatIn("UTC", { timeStyle: "short" }), FIVE_MS);
  return hour.length > 1 ? "2-digit" : "numeric";
}

const MINUTE = { hour: hoursOfLocale(), minute: "2-digit" };
const SECOND = { ...MINUTE, second: "2-digit" };
const HOUR = formatIn("UTC", MINUTE).resolvedOptions().hour12 ? { hour: "numeric" } : MINUTE;

/** `03:00` or `3 AM`: a full hour in a zone. */
const hourIn = (name, ms) => formatIn(name, HOUR).format(ms);

/** `20:14` in a zone. */
export const clockIn = (name, ms) => formatIn(name, MINUTE).format(ms);

/** `20:14:03`. */
export const clockExact = (ms) => format(SECOND).format(ms);

/** `20:14`: the minute in which it is. */
export const clockMinute = (ms) => clockIn(zone, ms);

/** `Wed, 25 Nov`. */
export const dayOf = (ms) => format({ weekday: "short", day: "numeric", month: "short" }).format(ms);

/** `20:14` to the nearest minute, to the second where it is less than a minute away, with the day
 * where it is half a day away or more: as the controller's own sentences round it. */
export function clockNear(ms, nowMs) {
  const awayMs = Math.abs(ms - nowMs);
  const grainMs = awayMs < MINUTE_MS ? 1_000 : MINUTE_MS;
  const rounded = Math.floor((ms + grainMs / 2) / grainMs) * grainMs;
  if (rounded % MINUTE_MS) return format(SECOND).format(rounded);
  if (awayMs < DAY_MS / 2) return format(MINUTE).format(rounded);
  return format({ ...MINUTE, day: "numeric", month: "short" }).format(rounded);
}

/** Instants at which a zone's clocks show every third full hour, with how they write it; one that
 * comes sooner, the clocks being put forward, is left out. */
export function fullHours(fromMs, toMs, name = zone) {
  const parts = plainClock(name);
  const quarter = 900_000;
  const found = [];
  for (let at = Math.ceil(fromMs / quarter) * quarter; at < toMs; at += quarter) {
    const told = partsOf(parts, at);
    if (at - found.at(-1)?.at < 12 * quarter) continue;
    if (Number(told.minute) === 0 && Number(told.hour) % 3 === 0) {
      found.push({ at, text: hourIn(name, at), hour: Number(told.hour) });
    }
  }
  return found;
}
