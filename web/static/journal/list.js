/** The entries, newest first: a page at a time, and new ones as they come. */

import { get } from "/static/api.js";
import { button, byId, make, show, write } from "/static/dom.js";
import { announce } from "/static/frame/orders.js";
import { queryOf } from "/static/journal/address.js";
import { entryItem } from "/static/journal/entry.js";
import { dateText, dayOf } from "/static/moments.js";
import { WORDS } from "/static/words/journal.js";

const PAGE = 60;
// A new entry is told before its own thread has written it down.
const NEWS_AFTER_MS = [300, 1_500];
let filters = { only: [] };
let turn = 0; // which asking is the newest
let shown = []; // newest first
let waiting = []; // came in while somebody was reading further down; newest first
let next = null;
let timers = [];

/** Shows the entries of these filters, from the newest on. */
export async function showEntries(wanted) {
  filters = wanted;
  const mine = ++turn;
  forgetEntries();
  write(byId("list-told"), WORDS.waiting);
  try {
    const told = await ask();
    if (mine === turn) begin(told);
  } catch (problem) {
    if (mine === turn) fail(problem, () => showEntries(filters));
  }
}

/** Asks for what is new, soon: entries were written. */
export function newsCame() {
  timers.forEach(clearTimeout);
  timers = NEWS_AFTER_MS.map((ms) => setTimeout(takeNews, ms));
}

/** Shows nothing any more. */
export function forgetEntries() {
  timers.forEach(clearTimeout);
  shown = [];
  waiting = [];
  next = null;
  byId("list").replaceChildren();
  byId("list-more").replaceChildren();
  write(byId("list-problem"), "");
  write(byId("list-told"), "");
  drawNews();
}

function ask(page = null) {
  const query = queryOf(filters);
  query.append("last", PAGE);
  if (page !== null) query.append("page", page);
  return get(`/log?${query}`);
}

function begin(told) {
  next = told.next;
  shown = [...told.entries].reverse();
  byId("list").replaceChildren();
  append(shown);
  finish(told.remark);
}

function append(entries) {
  for (const entry of entries) dayList(entry, { isNewer: false }).append(entryItem(entry));
}

/** The list of an entry's day, made at the end or the beginning where there is none. Where clocks
 * were set back, a day may come twice: entries stay in the order in which they were written. */
function dayList(entry, { isNewer }) {
  const home = byId("list");
  const day = dateText(Date.parse(entry.utc));
  const near = isNewer ? home.firstElementChild : home.lastElementChild;
  if (near?.dataset.day === day) return near.querySelector("ol");
  const list = make("ol", "plain");
  const section = make("section", "list-day", make("h3", "", dayOf(Date.parse(entry.utc))), list);
  section.dataset.day = day;
  if (isNewer) home.prepend(section);
  else home.append(section);
  return list;
}

function finish(remark = "") {
  write(byId("list-problem"), remark);
  write(byId("list-told"), shown.length ? WORDS.told(shown.length, next !== null) : WORDS.none);
  byId("list-more").replaceChildren(...(next === null ? [] : [button("", WORDS.more, more)]));
}

async function more() {
  const mine = turn;
  const [wanted] = byId("list-more").children;
  wanted.disabled = true;
  try {
    const told = await ask(next);
    if (mine !== turn) return;
    const earlier = [...told.entries].reverse();
    const before = byId("list").lastElementChild?.querySelector("li:last-child");
    next = told.next;
    shown.push(...earlier);
    append(earlier);
    finish(told.remark);
    if (before) focusAfter(before);
  } catch (problem) {
    if (mine === turn) fail(problem, more);
  }
}

/** Who asked by keyboard goes on reading where the new entries begin. */
function focusAfter(last) {
  const item = last.nextElementSibling ?? last.closest("section").nextElementSibling?.querySelector("li");
  if (!item) return;
  item.tabIndex = -1;
  item.focus({ preventScroll: true });
}

function fail(problem, again) {
  write(byId("list-told"), "");
  write(byId("list-problem"), WORDS.moreFailed(problem.message));
  byId("list-more").replaceChildren(button("", WORDS.again, () => again()));
}

async function takeNews() {
  const mine = turn;
  let told;
  try {
    told = await ask();
  } catch {
    return; // the connection's own line says so, and what is shown is still true
  }
  if (mine !== turn) return;
  const newest = waiting[0]?.number ?? shown[0]?.number ?? 0;
  const news = told.entries.filter((entry) => entry.number > newest).reverse();
  if (!news.length) return;
  if (news.length === told.entries.length && told.next !== null && shown.length) {
    begin(told); // more came than a page holds: what lies between is not known
    return;
  }
  waiting = [...news, ...waiting];
  if (isBeingRead()) drawNews();
  else takeWaiting();
}

/** Whether the top of the list is out of sight, so that something put there would move what is
 * being read. */
const isBeingRead = () => byId("list").getBoundingClientRect().top < 0;

function takeWaiting() {
  const count = waiting.length;
  for (const entry of [...waiting].reverse()) {
    const item = entryItem(entry);
    item.classList.add("is-new");
    dayList(entry, { isNewer: true }).prepend(item);
  }
  shown = [...waiting, ...shown];
  waiting = [];
  drawNews();
  finish();
  announce(WORDS.newsTold(count));
}

function drawNews() {
  const home = byId("list-news");
  show(home, waiting.length > 0);
  if (!waiting.length) {
    home.replaceChildren();
    return;
  }
  const text = WORDS.news(waiting.length);
  if (home.firstElementChild) write(home.firstElementChild, text);
  else {
    home.append(
      button("strong", text, () => {
        takeWaiting();
        byId("entries").scrollIntoView({ block: "start" });
      }),
    );
  }
}
