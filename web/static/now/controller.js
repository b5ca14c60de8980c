/** The controller's clock, its plan, and how late it switches. */

import { byId, make, prose } from "/static/dom.js";
import { clockNear, zoneName } from "/static/moments.js";
import { WORDS as AROUND } from "/static/words/frame.js";
import { lengthRound } from "/static/words/lengths.js";
import { WORDS } from "/static/words/now.js";

const DIFFERS_S = 5; // less than that is the network's doing, or nobody's worry

/** Draws what changes with a picture. */
export function drawController(live) {
  const { status } = live;
  const trust = status.is_clock_trusted ? WORDS.clockTrusted : WORDS.clockUntrusted;
  // The reason is long: it stands down here, and the line above the page stays short.
  const facts = live.reason && !live.isFresh ? [[WORDS.connection, AROUND.reason(live.reason)]] : [];
  facts.push([WORDS.clock, `${trust}; ${WORDS.zone(zoneName())}`]);
  const differsS = Math.abs(live.nowMs - Date.now()) / 1000;
  if (live.isFresh && !status.is_rehearsal && differsS > DIFFERS_S) {
    facts.push(["", WORDS.deviceDiffers(lengthRound(differsS))]);
  }
  const { plan, lateness } = status;
  const since = plan.taken_utc && clockNear(Date.parse(plan.taken_utc), live.nowMs);
  facts.push([WORDS.plan, WORDS.revision(plan.revision, since)]);
  if (plan.refused) facts.push(["", WORDS.planRefused(plan.refused)]);
  if (lateness.count) {
    const [p99, worst] = [lateness.p99_ms, lateness.max_ms].map((ms) => Math.ceil(ms));
    facts.push([WORDS.late, WORDS.lateness(p99, worst)]);
  }
  facts.push([WORDS.version, status.version]);
  const key = JSON.stringify(facts);
  const home = byId("controller");
  if (home.dataset.key === key) return;
  home.dataset.key = key;
  const list = make("dl", "facts");
  for (const [name, text] of facts) {
    if (name) list.append(make("dt", "", name));
    list.append(make("dd", "", ...prose(text)));
  }
  home.replaceChildren(list);
}
