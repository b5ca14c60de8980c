/** What stands around every view: who is there, the newest picture, the stop. A view calls `raise`
 * once and draws into `#view`; controls of its own that must stay in sight go into `#page-bar`. */

import { get, remove } from "/static/api.js";
import { button, byId, make, nameParts, show } from "/static/dom.js";
import { drawAround, tickAround } from "/static/frame/around.js";
import { Live } from "/static/frame/live.js";
import { beginOrders, tell } from "/static/frame/orders.js";
import { drawStop } from "/static/frame/stop.js";
import { setZone } from "/static/moments.js";
import { NAMES, WORDS } from "/static/words/frame.js";

const OWNER = "owner";
const NOBODY = "nobody";
const AGAIN_MS = 2_000;
const PRODUCT = "rootclock";
let session = { role: NOBODY, needs_passcode: false };
let view = null;
let live = null;
let hasEntered = false;

/** Begins a view.
 *
 * - `names`: the catalogue of its markup's `data-word`s;
 * - `draw(live, rights)`: after each picture, change of connection and change of rights, while
 *   somebody is there who may look; `rights.mayOrder` tells an owner from a guest;
 * - `title(live)`: what the window is called before the product's name, or "";
 * - `needsPicture`: false where the view is worth seeing before any picture of the controller
 *   came (then `live.status` may be null in `draw`);
 * - `enter()`: when somebody is there who may look; `leave()`: when that ends, to forget what only
 *   they may see; `tick(live)`: each second; `journal(told)`: entries as they are written. */
export function raise(given) {
  view = {
    needsPicture: true, title: () => "", tick: () => {}, journal: () => {}, enter: () => {},
    leave: () => {}, ...given,
  };
  live = new Live({ onChange: draw, onJournal: (told) => view.journal(told), onLost: checkSession });
  nameParts(document, { ...NAMES, ...view.names });
  beginOrders(live, checkSession);
  setInterval(tick, 1_000);
  begin();
}

async function begin() {
  session = await answered(() => get("/session"));
  await enter();
}

/** What `ask` comes to once the page's own program answers: until then there is nothing else to do
 * than to ask again. */
async function answered(ask) {
  for (;;) {
    try {
      return await ask();
    } catch {
      await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
    }
  }
}

/** The session that somebody logs in to; most visits ask nobody, and fetch no form. */
async function loggedIn(how) {
  const { logIn } = await answered(() => import("/static/frame/login.js"));
  return logIn(how);
}

const isThere = () => session.role !== NOBODY;

function draw() {
  const rights = { mayOrder: session.role === OWNER };
  const maySee = isThere() && hasEntered;
  const hasAll = live.status !== null || (!view.needsPicture && maySee);
  show(byId("waiting"), isThere() && !live.wasHeard && view.needsPicture);
  if (live.status !== null) setZone(live.status.timezone);
  drawAround(live, rights);
  show(byId("view"), maySee && hasAll);
  show(byId("bar"), maySee && hasAll && rights.mayOrder);
  drawStop({
    isStopped: live.status !== null && live.status.is_stopped,
    mayBeMains: live.status !== null && live.status.loads.some((load) => load.may_be_mains),
  });
  document.title = titleOf();
  if (maySee && hasAll) view.draw(live, rights);
}

function titleOf() {
  const parts = [view.title(live), PRODUCT].filter(Boolean);
  if (live.wasHeard && !live.isFresh) parts.unshift(WORDS.titleLost);
  return parts.join(" · ");
}

function tick() {
  if (document.hidden) return;
  tickAround(live);
  if (live.status !== null) view.tick(live);
}

/** A stream that ends may have ended because the session has. */
export async function checkSession() {
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
  if (!isThere()) {
    draw();
    session = await loggedIn({ mayGoBack: false });
  }
  hasEntered = true;
  drawSession();
  view.enter();
  draw();
  live.open();
}

function leaveView() {
  if (hasEntered) view.leave();
  hasEntered = false;
}

function drawSession() {
  const home = byId("session");
  show(home, session.needs_passcode);
  if (session.role === OWNER) {
    home.replaceChildren(button("quiet", WORDS.logout, leave));
  } else {
    home.replaceChildren(make("p", "", WORDS.guest), button("strong", WORDS.login, becomeOwner));
  }
}

async function leave() {
  try {
    session = await remove("/session");
  } catch (problem) {
    tell(WORDS.failed(problem.message), { isProblem: true });
    return;
  }
  await enterAnew();
}

async function enterAnew() {
  live.close();
  leaveView(); // a guest too sees less than the owner did
  show(byId("session"), false);
  draw();
  await enter();
}

async function becomeOwner() {
  show(byId("view"), false);
  session = (await loggedIn({ mayGoBack: true })) ?? session;
  drawSession();
  draw();
}
