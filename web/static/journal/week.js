/** The last seven days of one load: a strip a day, how often it was on, what was out of the
 * ordinary. A day tapped shows all loads closer. */

import { get } from "/static/api.js";
import { button, byId, make, write } from "/static/dom.js";
import { awayLong, onWords, overlay } from "/static/journal/day.js";
import { atFirstTouch, later } from "/static/later.js";
import { clockNear, dayOf } from "/static/moments.js";
import { strip } from "/static/strip.js";
import { WORDS } from "/static/words/journal.js";
import { lengthRound } from "/static/words/lengths.js";

const APART_MS = 15_000;
const AGAIN_MS = 300_000;
let week = null;
let chosen = null; // the load's name
let open = null; // the date of the day that is shown closer
let dayPart = null; // what shows it, once it is wanted
let showDay = () => {};
let onWeek = () => {};
let timer = 0;
let askedMs = 0;

/** Asks for the week at once; `day(date)` is called for the entries of a day, `told(week)` with
 * each answer. */
export function beginWeek({ day, told }) {
  showDay = day;
  onWeek = told;
  atFirstTouch(byId("week"), () => [closer()]);
  askedMs = 0;
  askWeek();
}

/** Asks anew soon: something was switched or noted. */
export function askWeek() {
  clearTimeout(timer);
  timer = setTimeout(ask, Math.max(0, askedMs + APART_MS - Date.now()));
}

/** Asks no more, and shows nothing. */
export function endWeek() {
  clearTimeout(timer);
  week = null;
  byId("week").replaceChildren();
  byId("week-loads").replaceChildren();
  delete byId("week-loads").dataset.names;
  write(byId("week-hint"), "");
}

async function ask() {
  askedMs = Date.now();
  timer = setTimeout(ask, AGAIN_MS);
  if (document.hidden && week) return;
  try {
    week = await get("/week");
  } catch (problem) {
    write(byId("week-problem"), WORDS.weekFailed(problem.message));
    return;
  }
  write(byId("week-problem"), week.loads.length ? "" : WORDS.noLoads);
  onWeek(week);
  draw();
}

function draw() {
  const place = Math.max(0, week.loads.findIndex((load) => load.name === chosen));
  drawLoads(place);
  const hadFocus = document.activeElement?.closest?.("[data-date]")?.dataset.date;
  const days = week.loads.length ? [...week.days].reverse() : [];
  byId("week").replaceChildren(...days.map((day) => dayRow(day, place)));
  if (hadFocus) byId("week").querySelector(`[data-date="${hadFocus}"] button`)?.focus();
  write(byId("week-hint"), hint(place));
}

function drawLoads(place) {
  const home = byId("week-loads");
  const names = week.loads.map((load) => load.name);
  if (home.dataset.names !== JSON.stringify(names)) {
    home.dataset.names = JSON.stringify(names);
    home.replaceChildren(...names.map((name) => button("chip", name, () => choose(name))));
  }
  home.hidden = names.length < 2;
  names.forEach((_, at) => home.children[at].setAttribute("aria-pressed", String(at === place)));
}

function choose(name) {
  chosen = name;
  draw();
}

function hint(place) {
  const load = week.loads[place];
  const parts = [];
  if (load?.long_gap_s) parts.push(WORDS.usual(load.kind, lengthRound(load.long_gap_s)));
  const begins = week.known_from_utc && Date.parse(week.known_from_utc);
  if (begins && begins > Date.parse(week.days[0].from_utc)) {
    parts.push(WORDS.beginsAt(clockNear(begins, Date.parse(week.until_utc))));
  }
  if (!week.is_whole) parts.push(WORDS.partly);
  return parts.join(" ");
}

function dayRow(day, place) {
  const row = make("li", "day");
  row.dataset.date = day.date;
  const load = day.loads[place];
  const { kind } = week.loads[place];
  const isOpen = open === day.date;
  const name = make("span", "day-name", dayOf(Date.parse(day.from_utc)));
  if (!day.is_over) name.append(make("span", "day-today", ` ${WORDS.today}`));
  const count = make("span", "day-count", ...(isKnown(day)
    ? [make("strong", "", String(load.starts)), ` ${WORDS.turnsName(kind, load.starts)}`] : [WORDS.notKnown]));
  const toggle = button("day-button", "", () => show(isOpen ? null : day.date));
  toggle.setAttribute("aria-expanded", String(isOpen));
  toggle.append(name, count, dayStrip(day, load), words(day, load, kind));
  row.append(toggle);
  if (isOpen) row.append(dayPart(day, week, { first: place, showDay }));
  return row;
}

const closer = () => later("/static/journal/closer.js");

/** Shows the day of a date closer, or none. */
async function show(date) {
  try {
    if (date) ({ dayPart } = await closer());
  } catch (problem) {
    write(byId("week-problem"), WORDS.dayFailed(problem.message));
    return;
  }
  if (!week) return; // whoever asked has left meanwhile
  write(byId("week-problem"), "");
  open = date;
  draw();
}

/** Whether the journal reaches back into that day: else not even that nothing was on is known. */
const isKnown = (day) => week.known_from_utc !== null && Date.parse(week.known_from_utc) < Date.parse(day.to_utc);

function dayStrip(day, load) {
  const seconds = (Date.parse(day.to_utc) - Date.parse(day.from_utc)) / 1000;
  const home = strip(load.on, seconds);
  overlay(home, day, load, week, seconds);
  return home;
}

function words(day, load, kind) {
  const line = make("span", "day-words", isKnown(day) ? onWords(load) : "");
  if (load.long_gaps.length) {
    for (const gap of load.long_gaps) {
      line.append(make("span", "is-long", WORDS.longGap(kind, lengthRound(gap.length_s))));
    }
  } else if (load.longest_gap_s !== null) {
    line.append(make("span", "", WORDS.longestGap(kind, lengthRound(load.longest_gap_s))));
  }
  if (awayLong(day).length) line.append(make("span", "is-away", WORDS.away));
  if (day.alarms) line.append(make("span", "is-alarm", WORDS.alarms(day.alarms)));
  return line;
}
