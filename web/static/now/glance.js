/** The garden at a glance: what waters now, what is next, and the sun of the day. */

import { byId, make, show, write } from "/static/dom.js";
import { clockMinute, clockNear } from "/static/moments.js";
import { lengthRound } from "/static/words/lengths.js";
import { WORDS } from "/static/words/now.js";

const WATERS = new Set(["pump", "valve"]);
const NAMED_MAX = 4;
const NEXT_MAX = 3;
const rows = new Map();

/** Draws it anew, after a picture and each second. */
export function drawGlance(live) {
  const { loads, sun, is_clock_trusted: isTrusted } = live.status;
  const pumps = loads.filter((load) => WATERS.has(load.kind));
  show(byId("glance"), live.isFresh);
  if (!live.isFresh) return;
  row("water", WORDS.glanceNow, pumps.length > 1 && nowWords(pumps, live));
  row("next", WORDS.glanceNext, pumps.length > 1 && nextWords(pumps, live));
  row("sun", WORDS.glanceSun, isTrusted && sun && sunWords(sun)); // an older controller tells none
}

function row(key, name, text) {
  if (!rows.has(key)) {
    const line = make("div", "", make("dt", "", name), make("dd"));
    rows.set(key, line);
    byId("glance").append(line);
  }
  const line = rows.get(key);
  show(line, Boolean(text));
  write(line.lastChild, text || "");
}

function nowWords(pumps, live) {
  const on = pumps.filter((load) => load.is_on);
  if (!on.length) return WORDS.glanceNone;
  const names = on.slice(0, NAMED_MAX).map((load) => {
    const leftS = load.left_s === null ? null : load.left_s - live.passedS;
    return leftS > 0 ? WORDS.glanceLeft(load.name, lengthRound(leftS)) : load.name;
  });
  return WORDS.glanceList(names, on.length - names.length);
}

function nextWords(pumps, live) {
  const due = pumps
    .filter((load) => !load.is_on && load.left_s !== null)
    .sort((a, b) => a.left_s - b.left_s)
    .slice(0, NEXT_MAX);
  const names = due.map((load) => {
    if (load.until_utc !== null) {
      return WORDS.glanceAt(load.name, clockNear(Date.parse(load.until_utc), live.nowMs));
    }
    return WORDS.glanceIn(load.name, lengthRound(Math.max(0, load.left_s - live.passedS)));
  });
  return WORDS.glanceList(names, 0);
}

function sunWords(sun) {
  const at = (utc) => clockMinute(Date.parse(utc));
  const { sunrise_utc: rise, sunset_utc: set } = sun;
  if (rise === null && set === null) return WORDS.sunNeither;
  if (rise === null) return WORDS.sunSet(at(set));
  if (set === null) return WORDS.sunRise(at(rise));
  return rise < set ? WORDS.sunUp(at(rise), at(set)) : `${WORDS.sunSet(at(set))}, ${WORDS.sunRise(at(rise))}`;
}
