/** The view Dry run: a form, a run, what came of it. */

import { byId, show, write } from "/static/dom.js";
import { Form } from "/static/dry_run/form.js";
import { forgetOutcomes, keepOutcome, keptOutcome } from "/static/dry_run/outcomes.js";
import { RunBar } from "/static/dry_run/run_bar.js";
import { checkSession, raise } from "/static/frame/frame.js";
import { announce, tell } from "/static/frame/orders.js";
import { atFirstTouch, later, sheet } from "/static/later.js";
import { dateIn, knownZone } from "/static/moments.js";
import { NAMES, WORDS } from "/static/words/dry-run.js";

const RUN = "/static/dry_run/run.js";
const RESULT = "/static/dry_run/result.js";
const RESULT_SHEETS = ["/static/preview.css", "/static/findings.css", "/static/dry-run-result.css"];
let known = ""; // of the controller and of rights, when its plans were last asked for
let running = null; // what ends the run that goes on
let forgotten = null; // resolves once nothing is kept that an owner left
let shown = null; // {outcome, query}: what is drawn, and for which choices

const form = new Form(byId("form"), drawRun);
const bar = new RunBar(byId("page-bar"), { run, cancel: () => running?.abort() });

function drawRun() {
  bar.offer(form.isWhole ? form.days : null);
  const query = form.addressQuery;
  if (!running && location.search !== query) history.replaceState(history.state, "", `${location.pathname}${query}`);
  const isOlder = shown !== null && shown.key !== keyNow();
  show(byId("older"), isOlder);
}

/** What a result hangs on, besides plans whose text changed elsewhere. */
const keyNow = () => JSON.stringify([form.query, form.fields.faults.wanted, Object.values(form.files).map((file) => file?.name)]);

async function run() {
  if (running) return;
  running = new AbortController();
  tell("");
  bar.begin();
  try {
    const { body, about } = await form.wanted();
    const told = await carry(body);
    if (told === null) {
      tell(WORDS.cancelled);
      return;
    }
    await finish({ told, about, body });
  } catch (problem) {
    refuse(problem);
  } finally {
    running = null;
    bar.end();
    drawRun();
  }
}

async function carry(body) {
  const { signal } = running;
  const { carryOut } = await later(RUN);
  return carryOut(body, { onShare: (share) => bar.tellShare(share), signal });
}

async function finish(outcome) {
  const key = keyNow();
  await showOutcome(outcome, key);
  const number = await keepOutcome({ ...outcome, key });
  form.settle();
  history.pushState({ outcome: number }, "", `${location.pathname}${form.query}`);
  announce(WORDS.done(outcome.told.findings.length));
  byId("result-title").focus({ preventScroll: true });
  byId("result").scrollIntoView({ block: "start" });
}

function refuse(problem) {
  if (problem.more === undefined) throw problem; // a mistake of ours, which the console shall tell
  tell(WORDS.refused(problem.message), { isProblem: true });
  const place = form.tellProblem(problem);
  place?.scrollIntoView({ block: "center" });
  place?.querySelector("input, select, textarea")?.focus({ preventScroll: true });
  if (problem.status === 401) checkSession();
}

async function showOutcome(outcome, key) {
  // Without its styles an outcome can be read all the same.
  const [{ drawResult }] = await Promise.all([later(RESULT), Promise.allSettled(RESULT_SHEETS.map(sheet))]);
  drawResult(byId("outcome"), outcome, () => askEvents(outcome.body));
  shown = { key };
  show(byId("result"), true);
  show(byId("empty"), false);
}

/** The same run again, for every switching of it: that is too much to be sent each time. */
async function askEvents(body) {
  if (running) return null;
  running = new AbortController();
  bar.begin();
  try {
    return (await carry({ ...body, compare: null, want: ["events"] }))?.events ?? null;
  } finally {
    running = null;
    bar.end();
  }
}

/** What the address and this browser's memory say is on the page. */
async function takeAddress() {
  const number = history.state?.outcome;
  await form.begin(location.search);
  await forgotten;
  const outcome = number === undefined ? null : await keptOutcome(number);
  if (outcome === null) forgetShown();
  else await showOutcome(outcome, outcome.key);
  drawRun();
}

function forgetShown() {
  shown = null;
  byId("outcome").replaceChildren();
  show(byId("result"), false);
  show(byId("empty"), true);
}

function draw(live, rights) {
  show(byId("guest"), !rights.mayOrder);
  form.setToday(live.status === null ? dateIn(undefined, Date.now()) : dateIn(knownZone(live.status.timezone), live.nowMs));
  const now = JSON.stringify([rights.mayOrder, live.isFresh, live.status?.plan?.revision]);
  if (live.wasHeard && now !== known) form.enter(rights.mayOrder);
  if (live.wasHeard) known = now;
}

raise({
  names: NAMES,
  needsPicture: false,
  draw,
  title: () => WORDS.title,
  enter: takeAddress,
  leave: () => {
    running?.abort();
    forgetShown();
    forgotten = forgetOutcomes();
  },
});
// Whoever touches the form will run it: by then the connection may be gone.
atFirstTouch(window, () => [later(RUN), later(RESULT)]);
addEventListener("popstate", takeAddress);
write(byId("empty-text"), WORDS.empty);
