/** Instants as the browser's locale writes them, in the site's time zone. */

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
let zone = "UTC";
let formats = new Map();

/** From now on, times are those of this zone; one that the browser does not know is UTC. */
export function setZone(name) {
  if (name === zone) return;
  formats = new Map();
  zone = name;
  try {
    format({ hour: "numeric" });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    zone = "UTC";
  }
}

/** The zone in which times are written. */
export const zoneName = () => zone;

function format(options) {
  const key = JSON.stringify(options);
  if (!formats.has(key)) {
    formats.set(key, new Intl.DateTimeFormat(undefined, { timeZone: zone, ...options }));
  }
  return formats.get(key);
}

const MINUTE = { hour: "numeric", minute: "2-digit" };
const SECOND = { ...MINUTE, second: "2-digit" };

/** `20:14:03`. */
export const clockExact = (ms) => format(SECOND).format(ms);

/** `20:14`: the minute in which it is. */
export const clockMinute = (ms) => format(MINUTE).format(ms);

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

/** Instants at which the site's clocks show a full hour that `step` divides, with how they write it. */
export function fullHours(fromMs, toMs, step) {
  const parts = format({ hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const quarter = 900_000;
  const found = [];
  for (let at = Math.ceil(fromMs / quarter) * quarter; at < toMs; at += quarter) {
    const told = Object.fromEntries(parts.formatToParts(at).map((part) => [part.type, part.value]));
    if (Number(told.minute) === 0 && Number(told.hour) % step === 0) {
      found.push({ at, text: format(MINUTE).format(at), hour: Number(told.hour) });
    }
  }
  return found;
}
