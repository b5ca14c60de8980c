/** What stands above every view: banners, the site's clock, the connection. */

import { button, byId, make, show, write, writeProse } from "/static/dom.js";
import { clockExact, dayOf } from "/static/moments.js";
import { announce, isSure, order } from "/static/frame/orders.js";
import { WORDS } from "/static/words/frame.js";
import { lengthRound } from "/static/words/lengths.js";

let wasFresh = null;

/** Draws what changes with a picture. */
export function drawAround(live, { mayOrder }) {
  drawBanners(live, mayOrder);
  tellConnection(live);
  tickAround(live);
}

/** Lets clock and ages run on. */
export function tickAround(live) {
  drawConnection(live);
  const time = live.isFresh ? `${clockExact(live.nowMs)} · ${dayOf(live.nowMs)}` : "";
  write(byId("site-time"), time);
}

function drawBanners(live, mayOrder) {
  const home = byId("banners");
  const wanted = live.status === null ? [] : bannersOf(live.status, mayOrder);
  const key = JSON.stringify(wanted.map((banner) => banner.key));
  if (home.dataset.key === key) return;
  home.dataset.key = key;
  home.replaceChildren(...wanted.map((banner) => banner.make(live)));
}

function bannersOf(status, mayOrder) {
  const banners = [];
  const plain = (key, className, text) =>
    banners.push({ key, make: () => make("p", `banner ${className}`, text) });
  if (status.is_mock) plain("mock", "is-mock", WORDS.mock);
  if (status.is_rehearsal) {
    plain(`rehearsal ${status.speed}`, "is-mock", WORDS.rehearsal(status.speed));
  }
  if (!status.is_clock_trusted) {
    banners.push({ key: `clock ${mayOrder}`, make: (live) => clockBanner(live, mayOrder) });
  }
  return banners;
}

function clockBanner(live, mayOrder) {
  const banner = make("div", "banner is-clock", make("p", "", WORDS.clockBanner));
  if (mayOrder) banner.append(button("quiet", WORDS.vouch, () => vouch(live)));
  return banner;
}

async function vouch(live) {
  const shown = (ms) => `${clockExact(ms)} (${dayOf(ms)})`;
  const text = WORDS.vouchText(shown(live.nowMs), shown(Date.now()));
  const asked = { title: WORDS.vouchTitle, text, yes: WORDS.vouchYes, no: WORDS.vouchNo };
  if (await isSure(asked)) await order("/clock-trust", undefined, WORDS.vouched);
}

function drawConnection(live) {
  const home = byId("connection");
  const isLost = live.wasHeard && !live.isFresh;
  document.body.classList.toggle("is-stale", isLost);
  write(home, live.isFresh ? WORDS.live : "");
  show(byId("lost"), isLost);
  if (isLost) writeProse(byId("lost"), lostWords(live));
}

function lostWords(live) {
  const parts = [live.isReached ? WORDS.controllerLost : WORDS.pageLost];
  if (live.status === null) {
    parts.push(WORDS.noPicture);
    if (live.isReached && live.reason) parts.push(WORDS.reason(live.reason));
  } else {
    const taken = Date.parse(live.status.now_utc);
    parts.push(WORDS.pictureIs(lengthRound(live.ageS), clockExact(taken)), WORDS.mayGoOn);
  }
  return parts.join(" ");
}

/** Screen readers are told of a change once, and not of each second. */
function tellConnection(live) {
  if (!live.wasHeard || wasFresh === live.isFresh) return;
  if (wasFresh !== null || !live.isFresh) {
    const lost = live.isReached ? WORDS.controllerLost : WORDS.pageLost;
    announce(live.isFresh ? WORDS.connectionBack : lost);
  }
  wasFresh = live.isFresh;
}
