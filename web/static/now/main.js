/** The view Now: wires its parts together. */

import { byId, make } from "/static/dom.js";
import { raise } from "/static/frame/frame.js";
import { drawAlarms } from "/static/now/alarms.js";
import { drawController } from "/static/now/controller.js";
import { drawGlance } from "/static/now/glance.js";
import { askHistory, endHistory } from "/static/now/history.js";
import { drawLoads, tickLoads } from "/static/now/loads.js";
import { drawSensors, tickSensors } from "/static/now/sensors.js";
import { CAUTIONS } from "/static/words/cautions.js";
import { doing } from "/static/words/kinds.js";
import { NAMES, WORDS } from "/static/words/now.js";

let names = "";
let wasFresh = false;
let isFresh = () => false;

function draw(live, rights) {
  isFresh = () => live.isFresh;
  drawAlarms(live, rights);
  drawGlance(live);
  drawLoads(live, rights);
  drawSensors(live);
  drawController(live);
  const newNames = live.status.loads.map((load) => load.name);
  const isBack = live.isFresh && !wasFresh;
  wasFresh = live.isFresh;
  if (isBack || names !== newNames.join()) askHistory(newNames);
  names = newNames.join();
}

function title(live) {
  if (live.status === null) return "";
  const { alarms, loads } = live.status;
  const unseen = alarms.filter((alarm) => !alarm.is_acknowledged).length;
  const parts = [];
  const [first] = loads;
  if (unseen) parts.push(WORDS.titleAlarms(unseen));
  if (first && loads.length === 1) parts.push(first.is_on ? doing(first.kind).on : doing(first.kind).off);
  return parts.join(" · ");
}

function tick(live) {
  drawGlance(live);
  tickLoads(live);
  tickSensors(live);
}

function leave() {
  endHistory();
  wasFresh = false; // whoever comes next is shown it anew
}

byId("caution-list").append(...CAUTIONS.map((caution) => make("li", "", caution)));
document.addEventListener("visibilitychange", () => {
  if (!document.hidden && isFresh()) askHistory();
});
raise({ names: NAMES, draw, tick, title, journal: () => askHistory(), leave });
