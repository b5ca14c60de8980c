/** What a run's journal would hold besides switching: alarms, outages, what people did. */

import { make } from "/static/dom.js";
import { momentWords } from "/static/dry_run/dates.js";
import { RESULT } from "/static/words/dry-run-result.js";

const SHOWN_MAX = 200;
const BAD = new Set(["alarm", "clock not trusted", "power lost", "roots left dry"]);
const ROUTINE = new Set(["variant entered", "variant left"]);

/** The notices of one run or two, by time. */
export function happenings(runs, names, zone) {
  const part = make("section", "panel part", make("h3", "", RESULT.happeningsTitle));
  runs.forEach((run, place) => {
    if (runs.length > 1) part.append(make("h4", "", RESULT.numbered(place + 1, names[place])));
    part.append(...told(run, zone));
  });
  return part;
}

function told({ notices, notices_left_out: leftOut }, zone) {
  const routine = notices.filter(({ event }) => ROUTINE.has(event));
  const others = notices.filter(({ event }) => !ROUTINE.has(event));
  const parts = others.length ? listed(others, zone) : [make("p", "", RESULT.nothingHappened)];
  if (routine.length) {
    parts.push(make("details", "", make("summary", "", RESULT.routine(routine.length)), ...listed(routine, zone)));
  }
  if (leftOut) parts.push(make("p", "hint", RESULT.leftOut(leftOut)));
  return parts;
}

function listed(notices, zone) {
  const list = make("ol", "plain notices");
  list.setAttribute("role", "list");
  for (const { utc, event, subject, detail } of notices.slice(0, SHOWN_MAX)) {
    const time = make("time", "", momentWords(Date.parse(utc), zone));
    time.dateTime = utc;
    const isBad = BAD.has(event);
    const what = make("strong", "", RESULT.event(event, subject, isBad));
    list.append(make("li", isBad ? "is-bad" : "", time, " ", what, detail ? make("span", "notice-detail", ` ${detail}`) : ""));
  }
  const more = notices.length - SHOWN_MAX;
  return [list, ...(more > 0 ? [make("p", "hint", RESULT.moreHappened(more))] : [])];
}
