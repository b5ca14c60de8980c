/** One entry of the journal, in plain words. */

import { make } from "/static/dom.js";
import { clockExact } from "/static/moments.js";
import { numberShort } from "/static/numbers.js";
import { isWrong } from "/static/wrongs.js";
import { WORDS, lateLength } from "/static/words/journal.js";

const LATE_MS = 1_000; // what is late by less is what every switching is late by
const PLAN = "plan"; // what is as planned needs no word
const SWITCHED = new Set(["on", "off"]);

/** The entry as a list's item; `when` writes its time, to the second unless told otherwise. */
export function entryItem(entry, when = clockExact) {
  const isSwitching = SWITCHED.has(entry.what);
  const item = make("li", "entry");
  item.dataset.number = entry.number;
  item.dataset.what = isSwitching ? entry.what : isWrong(entry) ? "bad" : "other";
  const time = make("time", "", when(Date.parse(entry.utc)));
  time.dateTime = entry.utc;
  const what = isSwitching ? entry.what : WORDS.what(entry.what);
  const head = make("p", "entry-head", make("span", "entry-what", what));
  if (entry.subject) head.prepend(make("strong", "", entry.subject), " ");
  const body = make("div", "entry-body", head);
  if (entry.detail) body.append(make("p", "entry-detail", entry.detail));
  const tags = tagsOf(entry);
  if (tags.length) body.append(make("p", "entry-tags", tags.join(" · ")));
  item.append(time, body);
  return item;
}

function tagsOf(entry) {
  const tags = [];
  if (entry.why && entry.why !== PLAN) tags.push(WORDS.because(entry.why));
  if ((entry.late_ms ?? 0) >= LATE_MS) tags.push(WORDS.late1(lateLength(entry.late_ms, numberShort)));
  if (!entry.clock_trusted) tags.push(WORDS.untrusted);
  return tags;
}
