/** A local day of a site: its instants, its hours, and where anchors fall on it. */

import { CLOCK, DAY_S, followed, readAnchor } from "/static/editor/anchor.js";
import { clockIn, formatIn, fullHours, partsOf } from "/static/moments.js";

export const SNAP_MS = 300_000; // borders go by as much

/** One day of a preview (POST /plan/preview) in a zone. */
export class Day {
  constructor(told, zone) {
    this.told = told;
    this.fromMs = Date.parse(told.from_utc);
    this.toMs = Date.parse(told.to_utc);
    this.read = formatIn(zone, { hour: "numeric", minute: "numeric", second: "numeric", hourCycle: "h23" }, "en");
    this.zone = zone;
    this.hours = fullHours(this.fromMs, this.toMs, zone).map((one) => ({ ...one, part: this.part(one.at) }));
  }

  get lengthMs() {
    return this.toMs - this.fromMs;
  }

  /** The instant brought into the day by whole days: an evening's piece goes on after midnight. */
  inside(ms) {
    return this.fromMs + ((((ms - this.fromMs) % this.lengthMs) + this.lengthMs) % this.lengthMs);
  }

  /** How much of the day is over at an instant within it: 0 to 1. */
  part(ms) {
    return (ms - this.fromMs) / this.lengthMs;
  }

  /** What the site's clocks show, in seconds after midnight. */
  clock(ms) {
    const { hour, minute, second } = partsOf(this.read, ms);
    return Number(hour) * 3600 + Number(minute) * 60 + Number(second);
  }

  /** `06:30`, to the nearest minute, as the browser's locale writes it. */
  clockText(ms) {
    return clockIn(this.zone, Math.round(ms / 60_000) * 60_000);
  }

  /** The instant at which the site's clocks show a time of this day: the first where they show it
   * twice, and where they skip it, the one at which they have. */
  at(secondsOfDay) {
    const guess = this.fromMs + secondsOfDay * 1000;
    const ahead = (ms) => ((this.clock(ms) - secondsOfDay + 1.5 * DAY_S) % DAY_S) - DAY_S / 2;
    const other = guess - ahead(guess) * 1000;
    if (ahead(other) === 0) return other;
    let [low, high] = [Math.min(guess, other), Math.max(guess, other)];
    while (high - low > 1000) {
      const middle = low + Math.floor((high - low) / 2000) * 1000;
      if (ahead(middle) < 0) low = middle;
      else high = middle;
    }
    return high;
  }

  /** The instants, each five minutes, at which a clock time can begin a piece: not those of the
   * second turn, where the clocks show an hour twice. */
  get moments() {
    this.known ??= this.momentsShown();
    return this.known;
  }

  momentsShown() {
    const shown = new Map();
    for (let at = this.fromMs; at < this.toMs; at += SNAP_MS) {
      const s = this.clock(at);
      if (!shown.has(s)) shown.set(s, at);
    }
    return [...shown.values()];
  }

  /** The instant of an anchor's base on this day; null where it is not on it. */
  baseMs(base) {
    if (base === CLOCK) return this.at(0);
    if (base in this.told.sun) return this.told.sun[base] && Date.parse(this.told.sun[base]);
    const change = followed(base);
    const load = change && this.told.loads.find(({ name }) => name === change.load);
    const moments = (load?.on ?? []).map(([from, to]) => (change.isOn ? from : to));
    const first = moments.find((s) => s > 0 && s * 1000 < this.lengthMs);
    return first === undefined ? null : this.fromMs + first * 1000;
  }

  /** The instant of an anchor, where the preview's own span (or undefined) tells of one like it. */
  momentOf(anchor, told) {
    const like = told && readAnchor(told.from);
    const isLike = like?.base === anchor.base && (anchor.base !== CLOCK || anchor.s === like.s);
    if (isLike) return Date.parse(told.start_utc) + (anchor.s - like.s) * 1000;
    if (anchor.base === CLOCK) return this.at(((anchor.s % DAY_S) + DAY_S) % DAY_S);
    const base = this.baseMs(anchor.base);
    return base === null ? null : base + anchor.s * 1000;
  }

  /** An anchor with another base that falls on the same instant, to the minute. */
  tied(ms, base) {
    if (base === CLOCK) return { base, s: Math.round(this.clock(ms) / 60) * 60 };
    const from = this.baseMs(base);
    return { base, s: from === null ? 0 : Math.round((ms - from) / 60_000) * 60 };
  }
}
