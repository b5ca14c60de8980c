/** The last 24 hours as strips: when each load was on, where its plan ordered otherwise, and what
 * else the journal tells. */

import { get } from "/static/api.js";
import { grouped } from "/static/differs.js";
import { byId, make } from "/static/dom.js";
import { clockNear } from "/static/moments.js";
import { hoursBelow, layOver, strip } from "/static/strip.js";
import { isWrong } from "/static/wrongs.js";
import { lengthRound } from "/static/words/lengths.js";
import { WORDS } from "/static/words/now.js";

const AGAIN_MS = 300_000; // the strip grows by a third of a percent meanwhile
const APART_MS = 10_000;
const NOTES_MAX = 60;
const AWAY_LEAST_S = 60; // a restart takes less
const LATE_MS = 1_000; // what is late by less is what every switching is late by
let timer = 0;
let askedMs = 0;
let order = [];
let isOpen = false;

/** Asks for the strip soon: at once, unless that was just done. */
export function askHistory(names) {
  order = names ?? order;
  clearTimeout(timer);
  timer = setTimeout(draw, Math.max(0, askedMs + APART_MS - Date.now()));
}

/** Asks no more. */
export const endHistory = () => clearTimeout(timer);

async function draw() {
  askedMs = Date.now();
  timer = setTimeout(draw, AGAIN_MS);
  if (document.hidden) return;
  try {
    show(await get("/history?hours=24"));
  } catch (problem) {
    byId("history").replaceChildren(make("p", "hint", WORDS.historyFailed(problem.message)));
  }
}

function show(told) {
  const from = Date.parse(told.from_utc);
  const to = Date.parse(told.to_utc);
  const known = told.known_from_utc ? Date.parse(told.known_from_utc) : to;
  const away = told.away.filter(([begin, end]) => end - begin >= AWAY_LEAST_S);
  const span = { from, seconds: (to - from) / 1000, known: (known - from) / 1000, away };
  const loads = [...told.loads].sort((a, b) => place(a.name) - place(b.name));
  const parts = loads.map((load) => row(load, span));
  parts.push(notesRow(told.marks, span), hoursBelow(from, to));
  if (known > from) parts.push(make("p", "hint", WORDS.historyBegins(clockNear(known, to))));
  if (away.length) parts.push(make("p", "hint", WORDS.historyAway));
  if (!told.is_whole) parts.push(make("p", "hint", WORDS.historyPartly));
  parts.push(notesList(told, loads, to));
  byId("history").replaceChildren(...(loads.length ? parts : [make("p", "hint", WORDS.historyNone)]));
}

const place = (name) => (order.includes(name) ? order.indexOf(name) : order.length);

function row(load, span) {
  const total = load.on.reduce((sum, [start, end]) => sum + end - start, 0);
  const words = [WORDS.historyOn(load.on.length, lengthRound(total))];
  if (load.differs.length) words.push(WORDS.historyDiffers(load.differs.length));
  const home = strip(load.on, span.seconds);
  layOver(home, "is-unknown", [0, span.known], span.seconds);
  for (const stretch of span.away) layOver(home, "is-unknown", stretch, span.seconds);
  for (const one of load.differs) {
    layOver(home, `is-ordered-${one.ordered}`, [one.from_s, one.to_s], span.seconds);
  }
  const told = make("span", "", words.join("; "));
  return make("div", "strip-row", make("p", "strip-title", make("strong", "", load.name), " ", told), home);
}

function notesRow(marks, span) {
  const row = make("div", "notes-row");
  row.setAttribute("aria-hidden", "true"); // the list below has them in words
  for (const mark of marks) {
    const dot = make("span", isWrong(mark) ? "note is-bad" : "note");
    const part = (Date.parse(mark.utc) - span.from) / (1000 * span.seconds);
    dot.style.left = `${100 * Math.max(0, Math.min(1, part))}%`;
    row.append(dot);
  }
  return row;
}

function notesList(told, loads, to) {
  const from = Date.parse(told.from_utc);
  const lines = told.marks.map((mark) => ({
    at: Date.parse(mark.utc), isWrong: isWrong(mark), detail: mark.detail,
    what: mark.subject ? `${mark.what}: ${mark.subject}` : mark.what,
  }));
  for (const load of loads) {
    for (const one of grouped(load.differs)) {
      const detail = WORDS.historyOrdered(one, clockNear(from + one.to_s * 1000, to));
      lines.push({ at: from + one.from_s * 1000, isWrong: true, what: WORDS.historyNotPlanned(load.name), detail });
    }
  }
  lines.sort((a, b) => b.at - a.at);
  const list = make("ol", "plain notes", ...lines.slice(0, NOTES_MAX).map((line) => note(line, to)));
  const parts = [make("summary", "", WORDS.historyList(lines.length)), list];
  if (told.lateness.max_ms >= LATE_MS) {
    parts.push(make("p", "hint", WORDS.historyLate(lengthRound(told.lateness.max_ms / 1000))));
  }
  const details = make("details", "", ...parts);
  details.open = isOpen;
  details.addEventListener("toggle", () => {
    isOpen = details.open;
  });
  return details;
}

function note(line, to) {
  const detail = line.detail ? make("span", "note-detail", line.detail) : "";
  const time = make("time", "", clockNear(line.at, to));
  return make("li", line.isWrong ? "is-bad" : "", time, make("strong", "", line.what), detail);
}
