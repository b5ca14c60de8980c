/** The loads: all of them in the plan's order, so that none moves under a finger. */

import { arrange } from "/static/arrange.js";
import { byId, make } from "/static/dom.js";
import { Card } from "/static/now/card.js";
import { WORDS } from "/static/words/now.js";

const MANY = 5; // from so many on, cards are short on a small screen until they are opened
const cards = new Map();

/** Draws all loads of the picture. */
export function drawLoads(live, { mayOrder }) {
  const { loads } = live.status;
  const elements = loads.map((load) => {
    if (!cards.has(load.name)) cards.set(load.name, new Card(load.name));
    const card = cards.get(load.name);
    card.draw(load, live, mayOrder);
    return card.element;
  });
  if (!elements.length) elements.push(make("li", "", WORDS.noLoads));
  byId("now").classList.toggle("has-many", loads.length >= MANY);
  arrange(byId("load-list"), elements);
  for (const name of [...cards.keys()]) {
    if (!loads.some((load) => load.name === name)) cards.delete(name);
  }
}

/** Lets what runs by itself run on. */
export function tickLoads(live) {
  for (const card of cards.values()) card.tick(live);
}
