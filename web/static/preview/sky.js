/** Night and day behind strips of time. */

import { make } from "/static/dom.js";
import { STRIPS } from "/static/words/preview.js";

const LABEL_MIN_PART = 0.12; // a narrower part has no room for its name
const DAY = "is-day";
const TWILIGHT = "is-twilight";
const NIGHT = "is-night";

/** The parts of a stretch by the light of the sun: [{kind, from, to}] as shares of it, in order and
 * without a gap. `sun` has the instants (RFC 3339, or null) of dawn, sunrise, sunset and dusk. */
export function skyParts(sun, fromMs, toMs) {
  const events = [["dawn", TWILIGHT], ["sunrise", DAY], ["sunset", TWILIGHT], ["dusk", NIGHT]]
    .filter(([name]) => sun[name])
    .map(([name, kind]) => ({ at: Date.parse(sun[name]), kind, name }))
    .sort((a, b) => a.at - b.at);
  const parts = [];
  const share = (ms) => Math.max(0, Math.min(1, (ms - fromMs) / (toMs - fromMs)));
  let kind = kindBefore(events);
  let from = 0;
  for (const event of events) {
    if (share(event.at) > from) parts.push({ kind, from, to: share(event.at) });
    from = Math.max(from, share(event.at));
    kind = event.kind;
  }
  if (from < 1) parts.push({ kind, from, to: 1 });
  return parts;
}

/** What light there is before the first of a day's events. */
function kindBefore(events) {
  if (!events.length) return DAY; // nobody knows which: drawn plain, and said in words
  const before = { dawn: NIGHT, sunrise: TWILIGHT, sunset: DAY, dusk: TWILIGHT };
  return before[events[0].name];
}

/** Parts of the sky as elements that fill a box; with their names where `isNamed`. */
export function skyOf(parts, isNamed) {
  return parts
    .filter(({ kind }) => isNamed || kind !== DAY)
    .map(({ kind, from, to }) => {
      const name = kind === NIGHT ? STRIPS.night : STRIPS.day;
      const hasName = isNamed && kind !== TWILIGHT && to - from >= LABEL_MIN_PART;
      const part = make("span", `sky-part ${kind}`, hasName ? make("span", "sky-name", name) : "");
      part.style.left = `${100 * from}%`;
      part.style.width = `${100 * (to - from)}%`;
      return part;
    });
}
