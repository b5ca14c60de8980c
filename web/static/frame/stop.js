/** The stop for everything: pressed for a second, or tapped and then confirmed. And resume. */

import { button, byId, make, write } from "/static/dom.js";
import { announce, isSure, order } from "/static/frame/orders.js";
import { WORDS } from "/static/words/frame.js";

const PRESS_MS = 1_000;
const CLICK_AFTER_MS = 500; // a click comes after its finger is lifted, within this
let drawn = "";

/** Draws stop, or resume where everything is stopped; `mayBeMains` where any relay may switch it. */
export function drawStop({ isStopped, mayBeMains }) {
  const key = isStopped ? `stopped ${mayBeMains}` : "running"; // a press that has begun goes on
  if (drawn === key) return;
  const home = byId("stop");
  const hadFocus = home.contains(document.activeElement);
  drawn = key;
  const control = isStopped ? resumeButton(mayBeMains) : stopButton();
  home.replaceChildren(...(isStopped ? [stoppedWords(mayBeMains)] : []), control);
  if (hadFocus) control.focus();
}

function stoppedWords(mayBeMains) {
  const words = mayBeMains ? `${WORDS.stoppedBanner} ${WORDS.stoppedMains}` : WORDS.stoppedBanner;
  return make("p", "stopped-word", words);
}

/** The question's list of cautions, fetched while all is stopped: there is time. Where it cannot be
 * fetched, the gravest of them stands in the question all the same. */
const cautions = () => import("/static/frame/cautions.js").then(({ cautionList }) => [cautionList()], () => []);

function resumeButton(mayBeMains) {
  const list = mayBeMains ? cautions() : [];
  return button("strong resume", WORDS.resume, async () => {
    const asked = {
      title: WORDS.resumeTitle,
      text: WORDS.resumeText,
      yes: WORDS.resumeYes,
      no: WORDS.resumeNo,
      more: mayBeMains ? [make("p", "problem", WORDS.resumeMains), ...(await list)] : [],
    };
    if (await isSure(asked)) await order("/resume", undefined, WORDS.resumeSent);
  });
}

async function stop() {
  // The bar itself says from then on that all is stopped.
  if (await order("/stop", undefined, "", { failed: WORDS.stopFailed })) announce(WORDS.stoppedBanner);
}

function stopButton() {
  const hint = make("span", "stop-hint", WORDS.stopHint);
  const element = make("button", "danger stop-button", make("span", "stop-word", WORDS.stop), hint);
  element.type = "button";
  let timer = 0;

  const press = () => {
    if (timer) return;
    element.classList.add("is-pressed");
    write(hint, WORDS.stopPressing);
    timer = setTimeout(() => {
      release();
      spendPress();
      stop();
    }, PRESS_MS);
  };
  const release = () => {
    clearTimeout(timer);
    timer = 0;
    element.classList.remove("is-pressed");
    write(hint, WORDS.stopHint);
  };

  element.addEventListener("pointerdown", (event) => event.button === 0 && press());
  for (const name of ["pointerup", "pointercancel", "pointerleave", "blur"]) {
    element.addEventListener(name, release);
  }
  element.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault(); // or the key that is kept down would click again and again
    if (!event.repeat) press();
  });
  element.addEventListener("keyup", (event) => {
    if ((event.key !== "Enter" && event.key !== " ") || !timer) return;
    event.preventDefault();
    release();
    ask();
  });
  element.addEventListener("contextmenu", (event) => event.preventDefault());
  element.addEventListener("click", () => {
    release();
    ask();
  });
  return element;
}

/** The finger or key that has just stopped all is still down, and what has come in its place
 * must not take it for a press of its own. */
function spendPress() {
  const end = new AbortController();
  const options = { capture: true, signal: end.signal };
  const swallow = (event) => {
    event.preventDefault();
    event.stopPropagation();
  };
  addEventListener("click", swallow, options);
  addEventListener("pointerdown", () => end.abort(), options);
  addEventListener("keydown", (event) => event.repeat || end.abort(), options);
  for (const name of ["pointerup", "pointercancel", "keyup"]) {
    addEventListener(name, () => setTimeout(() => end.abort(), CLICK_AFTER_MS), options);
  }
}

async function ask() {
  const asked = {
    title: WORDS.stopTitle, text: WORDS.stopText, yes: WORDS.stopYes, no: WORDS.stopNo, isDangerous: true,
  };
  if (await isSure(asked)) await stop();
}
