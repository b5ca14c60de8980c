/** Why a load was on or off at a time gone by. */

import { get } from "/static/api.js";
import { byId, make, show, write } from "/static/dom.js";
import { entryItem } from "/static/journal/entry.js";
import { clockExact, dateText, dayOf, timeText } from "/static/moments.js";
import { WORDS } from "/static/words/journal.js";

const FIRST_TIME = "03:00";
const HOUR_MS = 3_600_000;
let names = [];
let isFilled = false;
let wantedLoad = ""; // by the address
let turn = 0;

/** Builds the form; `asked({load, at})` is called when somebody asks, with a local time. */
export function beginWhy(first, asked) {
  wantedLoad = first.load;
  names = first.load ? [first.load] : [];
  offer();
  if (first.load && first.at) fill(first);
  byId("why-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const question = {
      load: byId("why-load").value, at: `${byId("why-date").value}T${byId("why-time").value}`,
    };
    asked(question);
    answerWhy(question);
  });
}

function fill({ load, at }) {
  isFilled = true;
  byId("why-load").value = load;
  const [date, time = FIRST_TIME] = at.split("T");
  byId("why-date").value = date;
  byId("why-time").value = time;
}

/** Offers those loads; the fields begin with the last night. */
export function offerLoads(loads, nowMs) {
  const wanted = [...loads, ...names.filter((name) => !loads.includes(name))];
  if (wanted.join("\n") !== names.join("\n")) {
    names = wanted;
    offer();
  }
  if (isFilled) return;
  isFilled = true;
  byId("why-time").value = FIRST_TIME;
  byId("why-date").value = lastDateOf(FIRST_TIME, nowMs);
}

function offer() {
  const before = byId("why-load").value || wantedLoad;
  byId("why-load").replaceChildren(...names.map((name) => new Option(name, name)));
  if (names.includes(before)) byId("why-load").value = before;
}

/** Forgets the answer, and which loads there are. */
export function forgetWhy() {
  turn += 1;
  names = [];
  offer();
  byId("why-answer").replaceChildren();
  show(byId("why-answer"), false);
  write(byId("why-problem"), "");
}

/** Asks, and shows the answer. */
export async function answerWhy({ load, at }) {
  const mine = ++turn;
  write(byId("why-problem"), "");
  const home = byId("why-answer");
  home.replaceChildren(make("p", "hint", WORDS.whyWaiting));
  show(home, true);
  try {
    const past = await get(`/past?${new URLSearchParams({ load, at })}`);
    if (mine !== turn) return;
    home.replaceChildren(...answerParts(past));
    home.focus({ preventScroll: true });
  } catch (problem) {
    if (mine !== turn) return;
    show(home, false);
    write(byId("why-problem"), WORDS.whyFailed(problem.message));
  }
}

function answerParts(past) {
  if (past.sentence === null) return [make("p", "why-sentence", WORDS.whyNone(past.load))];
  const at = Date.parse(past.at_utc);
  const parts = [
    make("p", "why-at", `${dayOf(at)}, ${clockExact(at)}`),
    make("p", "why-sentence", WORDS.sentence(past.sentence)),
    ...part(WORDS.whySwitching, [past.switching], at),
  ];
  const told = new Set(past.stood.map((entry) => entry.number));
  const notices = past.notices.filter((entry) => !told.has(entry.number));
  parts.push(...part(WORDS.whyStood, past.stood, at, WORDS.whyNothingStood));
  if (notices.length) parts.push(...part(WORDS.whyNotices, notices, at));
  parts.push(...part(WORDS.whyNext, past.next ? [past.next] : [], at, WORDS.whyNoNext));
  return parts;
}

function part(title, entries, at, nothing = "") {
  const day = dayOf(at);
  const when = (ms) => (dayOf(ms) === day ? clockExact(ms) : `${dayOf(ms)} ${clockExact(ms)}`);
  if (!entries.length) return [make("h3", "", title), make("p", "hint", nothing)];
  const list = make("ol", "plain", ...entries.map((entry) => entryItem(entry, when)));
  return [make("h3", "", title), list];
}

/** The date on which clocks showed that time for the last time. */
function lastDateOf(time, nowMs) {
  const isPast = time <= timeText(nowMs);
  if (isPast) return dateText(nowMs);
  // Some instant of yesterday: this minute, less as many hours as today has had, and one more.
  const hours = Number(timeText(nowMs).slice(0, 2)) + 1;
  return dateText(nowMs - hours * HOUR_MS);
}
