/** The page Now: wires its parts together. */

import { get } from "/static/api.js";
import { button, byId, make, nameParts, show } from "/static/dom.js";
import { setZone } from "/static/moments.js";
import { drawAlarms } from "/static/now/alarms.js";
import { drawAround, tickAround } from "/static/now/around.js";
import { askHistory, endHistory } from "/static/now/history.js";
import { Live } from "/static/now/live.js";
import { drawLoads, tickLoads } from "/static/now/loads.js";
import { logIn, logOut } from "/static/now/login.js";
import { beginOrders, tell } from "/static/now/orders.js";
import { drawSensors, tickSensors } from "/static/now/sensors.js";
import { drawStop } from "/static/now/stop.js";
import { CAUTIONS, doing, WORDS } from "/static/words.js";

const OWNER = "owner";
const NOBODY = "nobody";
const AGAIN_MS = 2_000;
let session = { role: NOBODY, needs_passcode: false };
let names = "";
let wasFresh = false;

const live = new Live({ onChange: draw, onJournal: () => askHistory(), onLost: checkSession });

function draw() {
  show(byId("waiting"), !live.wasHeard);
  const rights = { mayOrder: session.role === OWNER };
  if (live.status !== null) setZone(live.status.timezone);
  drawAround(live, rights);
  show(byId("now"), live.status !== null);
  show(byId("bar"), rights.mayOrder);
  drawStop(live.status !== null && live.status.is_stopped);
  if (live.status === null) {
    document.title = "rootclock";
    return;
  }
  drawAlarms(live, rights);
  drawLoads(live, rights);
  drawSensors(live);
  document.title = title();
  const newNames = live.status.loads.map((load) => load.name);
  const isBack = live.isFresh && !wasFresh;
  wasFresh = live.isFresh;
  if (isBack || names !== newNames.join()) askHistory(newNames);
  names = newNames.join();
}

function title() {
  const { alarms, loads } = live.status;
  const unseen = alarms.filter((alarm) => !alarm.is_acknowledged).length;
  const parts = ["rootclock"];
  const [first] = loads;
  if (first && loads.length === 1) parts.unshift(first.is_on ? doing(first.kind).on : doing(first.kind).off);
  if (unseen) parts.unshift(WORDS.titleAlarms(unseen));
  if (!live.isFresh) parts.unshift(WORDS.titleLost);
  return parts.join(" · ");
}

function tick() {
  if (document.hidden) return;
  tickAround(live);
  if (live.status === null) return;
  tickLoads(live);
  tickSensors(live);
}

/** A stream that ends may have ended because the session has. */
async function checkSession() {
  try {
    const found = await get("/session");
    if (found.role === session.role) return;
    session = found;
    await enterAnew();
  } catch {
    // Nothing answers, and the connection's own line says so already.
  }
}

async function enter() {
  if (session.role === NOBODY) {
    show(byId("waiting"), false);
    show(byId("now"), false);
    show(byId("bar"), false);
    endHistory();
    session = await logIn({ mayGoBack: false });
  }
  drawSession();
  show(byId("waiting"), !live.wasHeard);
  live.open();
}

function drawSession() {
  byId("session")?.remove();
  if (!session.needs_passcode) return;
  const home = make("div", "session");
  home.id = "session";
  if (session.role === OWNER) {
    home.append(button("quiet", WORDS.logout, leave));
  } else {
    home.append(make("p", "", WORDS.guest), button("strong", WORDS.login, becomeOwner));
  }
  byId("controller").after(home);
}

async function leave() {
  try {
    session = await logOut();
  } catch (problem) {
    tell(WORDS.failed(problem.message), { isProblem: true });
    return;
  }
  await enterAnew();
}

async function enterAnew() {
  live.close();
  draw();
  await enter();
}

async function becomeOwner() {
  show(byId("now"), false);
  session = (await logIn({ mayGoBack: true })) ?? session;
  drawSession();
  draw();
}

async function begin() {
  nameParts(document);
  byId("caution-list").append(...CAUTIONS.map((caution) => make("li", "", caution)));
  beginOrders(live, checkSession);
  setInterval(tick, 1_000);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && live.isFresh) askHistory();
  });
  for (;;) {
    try {
      session = await get("/session");
      break;
    } catch {
      await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
    }
  }
  await enter();
}

begin();
