/** One day closer: every load's strip, the hours below, and what was out of the ordinary. */

import { button, make } from "/static/dom.js";
import { grouped } from "/static/differs.js";
import { awayLong, onWords, overlay } from "/static/journal/day.js";
import { entryItem } from "/static/journal/entry.js";
import { clockNear, dayOf } from "/static/moments.js";
import { hoursBelow, strip } from "/static/strip.js";
import { isWrong } from "/static/wrongs.js";
import { WORDS } from "/static/words/journal.js";
import { lengthRound } from "/static/words/lengths.js";

const DAY_MS = 86_400_000;

/** The part below a day of the week; `first` is the load that was chosen. */
export function dayPart(day, week, { first, showDay }) {
  const [from, to] = [Date.parse(day.from_utc), Date.parse(day.to_utc)];
  const seconds = (to - from) / 1000;
  const part = make("div", "closer");
  part.setAttribute("role", "group");
  part.setAttribute("aria-label", WORDS.dayName(dayOf(from)));
  const places = [first, ...week.loads.keys()].filter((place, at, all) => all.indexOf(place) === at);
  for (const place of places) part.append(loadRow(day, week, place, seconds));
  part.append(marksRow(day, from, to), hoursBelow(from, to), make("p", "hint", WORDS.legend));
  part.append(...unusual(day, week, from));
  part.append(button("", WORDS.dayEntries, () => showDay(day.date)));
  return part;
}

function loadRow(day, week, place, seconds) {
  const load = day.loads[place];
  const { kind } = week.loads[place];
  const home = strip(load.on, seconds);
  overlay(home, day, load, week, seconds, { isClose: true });
  const told = load.on_s ? `${load.starts} ${WORDS.turnsName(kind, load.starts)}, ${onWords(load)}` : onWords(load);
  const title = make("p", "strip-title", make("strong", "", load.name), " ", make("span", "", told));
  return make("div", "strip-row", title, home);
}

function marksRow(day, from, to) {
  const row = make("div", "notes-row");
  row.setAttribute("aria-hidden", "true"); // the list below has them in words
  for (const mark of day.marks) {
    const dot = make("span", isWrong(mark) ? "note is-bad" : "note");
    dot.style.left = `${(100 * (Date.parse(mark.utc) - from)) / (to - from)}%`;
    row.append(dot);
  }
  return row;
}

function unusual(day, week, from) {
  const at = (seconds) => clockNear(from + seconds * 1000, from + seconds * 1000);
  const lines = [];
  for (const [start, end] of awayLong(day)) lines.push(["", WORDS.awayAt(at(start), at(end))]);
  day.loads.forEach((load, place) => {
    const { kind } = week.loads[place];
    for (const gap of load.long_gaps) lines.push([load.name, gapWords(gap, kind, day)]);
    for (const one of grouped(load.differs)) {
      lines.push([load.name, WORDS.differs(at(one.from_s), at(one.to_s), one)]);
    }
  });
  const items = lines.map(([name, text]) =>
    make("li", "odd", ...(name ? [make("strong", "", name), " "] : []), text),
  );
  items.push(...day.marks.map((mark) => entryItem(mark)));
  if (!items.length) return [make("p", "hint", WORDS.dayNothing)];
  return [make("h3", "", WORDS.dayUnusual), make("ol", "plain", ...items)];
}

function gapWords(gap, kind, day) {
  const [start, end] = [Date.parse(gap.from_utc), Date.parse(gap.to_utc)];
  const length = lengthRound(gap.length_s);
  // What lies on another day is told with its date.
  const isWithin = (ms) => ms >= Date.parse(day.from_utc) && ms <= Date.parse(day.to_utc);
  const near = (ms) => (isWithin(ms) ? clockNear(ms, ms) : clockNear(ms, ms + DAY_MS));
  return gap.is_over
    ? WORDS.longGapAt(kind, near(start), near(end), length)
    : WORDS.longGapOpen(kind, near(start), length);
}
