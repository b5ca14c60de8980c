/** The last 24 hours as strips: when each load was on, and what else the journal tells. */

import { get } from "/static/api.js";
import { byId, make } from "/static/dom.js";
import { clockNear } from "/static/moments.js";
import { hoursBelow, strip } from "/static/strip.js";
import { lengthRound } from "/static/words/lengths.js";
import { WORDS } from "/static/words/now.js";

const AGAIN_MS = 300_000; // the strip grows by a third of a percent meanwhile
const APART_MS = 10_000;
const NOTES_MAX = 60;
const BAD = new Set(["alarm raised", "entries lost", "plan refused", "clock lost", "power lost"]);
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
  const span = { from, to, seconds: (to - from) / 1000, unknown: unknownUntil(told, from) };
  const loads = [...told.loads].sort((a, b) => place(a.name) - place(b.name));
  const parts = loads.map((load) => row(load, span));
  parts.push(notesRow(told.marks, span), hoursBelow(from, to));
  if (span.unknown) parts.push(make("p", "hint", WORDS.historyBegins(clockNear(span.unknown, to))));
  if (!told.is_whole) parts.push(make("p", "hint", WORDS.historyPartly));
  parts.push(notesList(told.marks, to));
  byId("history").replaceChildren(...(loads.length ? parts : [make("p", "hint", WORDS.historyNone)]));
}

const place = (name) => (order.includes(name) ? order.indexOf(name) : order.length);

function unknownUntil(told, from) {
  const begun = told.marks.find((mark) => mark.what === "journal begun");
  return begun && Date.parse(begun.utc) > from ? Date.parse(begun.utc) : null;
}

function row(load, span) {
  const total = load.on.reduce((sum, [start, end]) => sum + end - start, 0);
  const words = WORDS.historyOn(load.on.length, lengthRound(total));
  const home = strip(load.on, span.seconds);
  if (span.unknown) {
    const hatch = make("div", "unknown");
    hatch.style.width = `${(100 * (span.unknown - span.from)) / (span.to - span.from)}%`;
    home.append(hatch);
  }
  const title = make("p", "strip-title", make("strong", "", load.name), " ", make("span", "", words));
  return make("div", "strip-row", title, home);
}

function notesRow(marks, span) {
  const row = make("div", "notes-row");
  row.setAttribute("aria-hidden", "true"); // the list below has them in words
  for (const mark of marks) {
    const dot = make("span", BAD.has(mark.what) ? "note is-bad" : "note");
    const part = (Date.parse(mark.utc) - span.from) / (span.to - span.from);
    dot.style.left = `${100 * Math.max(0, Math.min(1, part))}%`;
    row.append(dot);
  }
  return row;
}

function notesList(marks, to) {
  const list = make("ol", "plain notes");
  for (const mark of [...marks].reverse().slice(0, NOTES_MAX)) {
    const what = mark.subject ? `${mark.what}: ${mark.subject}` : mark.what;
    const detail = mark.detail ? make("span", "note-detail", mark.detail) : "";
    list.append(
      make(
        "li", BAD.has(mark.what) ? "is-bad" : "",
        make("time", "", clockNear(Date.parse(mark.utc), to)), make("strong", "", what), detail,
      ),
    );
  }
  const details = make("details", "", make("summary", "", WORDS.historyList(marks.length)), list);
  details.open = isOpen;
  details.addEventListener("toggle", () => {
    isOpen = details.open;
  });
  return details;
}
