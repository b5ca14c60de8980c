/** Alarms: what is wrong, what to do, and that it was seen. */

import { arrange } from "/static/arrange.js";
import { button, byId, make, show, write, writeProse } from "/static/dom.js";
import { order } from "/static/frame/orders.js";
import { clockNear } from "/static/moments.js";
import { WORDS } from "/static/words/now.js";

const cards = new Map();

/** Draws the alarms of the picture: those that nobody has seen first. */
export function drawAlarms(live, { mayOrder }) {
  const alarms = [...live.status.alarms].sort((a, b) => a.is_acknowledged - b.is_acknowledged);
  const section = byId("alarms");
  const hadFocus = section.contains(document.activeElement);
  const kept = new Set();
  const elements = alarms.map((alarm) => {
    const key = JSON.stringify([alarm.code, alarm.subject]);
    kept.add(key);
    if (!cards.has(key)) cards.set(key, card(alarm));
    cards.get(key).draw(alarm, live, mayOrder);
    return cards.get(key).element;
  });
  for (const key of [...cards.keys()]) if (!kept.has(key)) cards.delete(key);
  write(byId("alarms-title"), WORDS.alarmCount(alarms.length));
  show(section, alarms.length > 0);
  arrange(byId("alarm-list"), elements);
  // Focus must not fall to the document's start because what it stood on is gone.
  if (hadFocus && !section.contains(document.activeElement)) byId("main").focus();
}

function card(alarm) {
  const name = WORDS.alarm(alarm.code, alarm.subject);
  const since = make("p", "alarm-since");
  const todo = make("p", "alarm-todo");
  const seen = make("p", "alarm-seen", WORDS.acknowledged);
  const body = { alarm: alarm.code, subject: alarm.subject };
  if (!alarm.subject) delete body.subject;
  const acknowledge = button("strong", WORDS.acknowledge, () =>
    order("/acknowledge", body, WORDS.toldAcknowledged(name)));
  acknowledge.setAttribute("aria-label", WORDS.acknowledgeName(name));
  const element = make("li", "alarm", make("h3", "", name), since, todo, seen, acknowledge);
  return {
    element,
    draw(now, live, mayOrder) {
      const at = WORDS.alarmSince(clockNear(Date.parse(now.since_utc), live.nowMs));
      write(since, now.is_active ? `${at}.` : `${at}; ${WORDS.alarmOver}.`);
      writeProse(todo, now.what_to_do);
      element.classList.toggle("is-seen", now.is_acknowledged);
      show(seen, now.is_acknowledged);
      show(acknowledge, mayOrder && !now.is_acknowledged);
    },
  };
}
