/** The view Journal: wires its parts together. */

import { byId } from "/static/dom.js";
import { raise } from "/static/frame/frame.js";
import { readAddress, writeAddress } from "/static/journal/address.js";
import { beginFilters, filtersNow, offerNames, setFilters } from "/static/journal/filters.js";
import { forgetEntries, newsCame, showEntries } from "/static/journal/list.js";
import { askWear, forgetRelays, tellLateness, tellWeekLateness } from "/static/journal/relays.js";
import { askWeek, beginWeek, endWeek } from "/static/journal/week.js";
import { answerWhy, beginWhy, forgetWhy, offerLoads } from "/static/journal/why.js";
import { NAMES } from "/static/words/journal.js";

const { filters, asked: askedFirst } = readAddress();
let asked = askedFirst;
let hasBegun = false;
let wasFresh = false;

function filtersChanged() {
  writeAddress(filtersNow(), asked);
  if (hasBegun) showEntries(filtersNow());
}

function whyAsked(question) {
  asked = question;
  writeAddress(filtersNow(), asked);
}

function showDay(date) {
  setFilters({ since: date, until: date });
  byId("entries").scrollIntoView({ block: "start" });
}

function weekCame(week) {
  tellWeekLateness(week.lateness);
  askWear();
}

/** The site's time zone is known with the first picture, and times cannot be written before. */
function begin() {
  hasBegun = true;
  showEntries(filtersNow());
  beginWeek({ day: showDay, told: weekCame });
  if (asked.load && asked.at) answerWhy(asked);
}

function draw(live) {
  const { loads, sensors, lateness } = live.status;
  offerNames([...loads, ...sensors].map((one) => one.name));
  offerLoads(loads.map((load) => load.name), live.nowMs);
  tellLateness(lateness);
  if (!hasBegun) begin();
  else if (live.isFresh && !wasFresh) journalGrew();
  wasFresh = live.isFresh;
}

function journalGrew() {
  newsCame();
  askWeek();
}

function leave() {
  hasBegun = false;
  forgetEntries();
  forgetWhy();
  forgetRelays();
  endWeek();
  offerNames([]);
}

beginFilters(filters, filtersChanged);
beginWhy(asked, whyAsked);
raise({ names: NAMES, draw, title: () => NAMES.title, journal: journalGrew, leave });
