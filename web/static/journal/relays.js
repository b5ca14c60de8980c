/** How worn the relays are, and how late switchings were. */

import { get } from "/static/api.js";
import { byId, make, write } from "/static/dom.js";
import { dateLong } from "/static/moments.js";
import { numberRound, numberShort } from "/static/numbers.js";
import { WORDS, about, lateLength } from "/static/words/journal.js";

const LITTLE = 0.001;
let wear = null;
let sinceStart = null;
let ofWeek = null;

/** Asks for the wear. */
export async function askWear() {
  try {
    wear = (await get("/wear")).loads;
    write(byId("relays-problem"), "");
  } catch (problem) {
    write(byId("relays-problem"), WORDS.relaysFailed(problem.message));
  }
  draw();
}

/** Lateness since the controller's start, of the newest picture. */
export function tellLateness(lateness) {
  sinceStart = lateness;
  draw();
}

/** Lateness over the last days. */
export function tellWeekLateness(lateness) {
  ofWeek = lateness;
  draw();
}

/** Shows nothing any more. */
export function forgetRelays() {
  wear = sinceStart = ofWeek = null;
  draw();
}

function draw() {
  const home = byId("relays");
  const key = JSON.stringify([wear, sinceStart, ofWeek]);
  if (home.dataset.key === key) return;
  home.dataset.key = key;
  const parts = [];
  if (wear !== null) {
    const list = make("ul", "plain", ...wear.map(relay));
    parts.push(list, make("p", "hint", WORDS.operationHint));
  }
  parts.push(make("h3", "", WORDS.lateTitle), lateness());
  home.replaceChildren(...parts);
}

function relay(load) {
  const item = make("li", "relay", make("strong", "", load.name), " ");
  const since = load.since_utc ? WORDS.since(dateLong(Date.parse(load.since_utc))) : "";
  const count = numberRound(load.operations, 0);
  if (load.contact_life === null) {
    const text = [WORDS.operationsAlone(load.operations), since].filter(Boolean).join(", ");
    item.append(`${text}. ${WORDS.gone}`);
    return item;
  }
  const isLittle = load.share > 0 && load.share < LITTLE;
  const used = isLittle ? WORDS.shareLittle : WORDS.share(`${numberShort(100 * load.share)}\u00a0%`);
  const fill = make("span", "relay-fill");
  fill.style.width = `${Math.min(100, 100 * load.share)}%`;
  const bar = make("span", load.share >= 1 ? "relay-bar is-used-up" : "relay-bar", fill);
  bar.setAttribute("aria-hidden", "true");
  const text = [WORDS.operations(count, numberRound(load.contact_life, 0)), since].filter(Boolean).join(", ");
  item.append(make("span", "relay-used", used), bar, make("p", "", `${text}. ${leftWords(load)}`));
  return item;
}

function leftWords(load) {
  if (load.share >= 1) return WORDS.usedUp;
  if (load.a_day === null) return WORDS.leftUnknown;
  const aDay = numberShort(load.a_day);
  return load.left_s === null ? WORDS.leftForEver(aDay) : WORDS.left(aDay, about(load.left_s));
}

function lateness() {
  const list = make("dl", "facts");
  for (const [name, told] of [[WORDS.lateSince, sinceStart], [WORDS.lateWeek, ofWeek]]) {
    if (!told) continue;
    const figures = [told.p50_ms, told.p99_ms, told.max_ms].map((ms) => lateLength(ms ?? 0, numberShort));
    list.append(make("dt", "", name), make("dd", "", told.count ? WORDS.late(...figures) : WORDS.lateNone));
  }
  return list;
}
