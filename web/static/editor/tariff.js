/** Prices by the time of day: each holds from its time until the next one's. */

import { numberOr } from "/static/editor/schema.js";
import { WishedRows } from "/static/editor/wished_rows.js";
import { TARIFF } from "/static/words/rows.js";

const AT = "energy.tariff";
const KEYS = ["from", "price_per_kwh"];
const NUMBERED = /^energy\.tariff\.(\d+)/;

const PRICES = {
  key: "tariff",
  words: TARIFF,
  keyboard: "text",
  first: 1,
  read: ([time, price]) => [time, numberOr(price)],
  placesIn: ({ where = "" }) => {
    const [, place] = NUMBERED.exec(where) ?? [];
    return place === undefined ? [] : [Number(place)];
  },
};

export class Tariff {
  constructor(desk) {
    this.rows = new WishedRows(desk, PRICES, { edits: (prices, before) => this.edits(prices, before), words: TARIFF.told });
    this.rows.element.classList.add("wide");
    this.element = this.rows.element;
  }

  /** Shows the prices of [energy], in its currency. */
  draw(energy) {
    this.energy = energy;
    const listed = Array.isArray(energy.tariff) ? energy.tariff : [];
    this.rows.draw(listed.map((price) => KEYS.map((key) => price?.[key] ?? "")));
    this.rows.rows.setUnit(String(energy.currency ?? ""));
  }

  /** What to ask of the plan: what is alike at both ends stays as it is written. */
  edits(prices, before) {
    const isAlike = (one, other) => JSON.stringify(one) === JSON.stringify(other);
    const most = Math.min(prices.length, before.length);
    let head = 0;
    while (head < most && isAlike(prices[head], before[head])) head += 1;
    let tail = 0;
    while (tail < most - head && isAlike(prices.at(-1 - tail), before.at(-1 - tail))) tail += 1;
    const [end, endBefore] = [prices.length - tail, before.length - tail];
    const shared = Math.min(end, endBefore);
    return [
      ...prices.slice(head, shared).flatMap((price, place) => set(head + place, price, before[head + place])),
      ...places(shared, endBefore).reverse().map((place) => ({ do: "remove", at: `${AT}.${place}` })),
      // One price for all times would do nothing beside these.
      ...(before.length === 0 && this.energy.price_per_kwh !== undefined ? [{ do: "remove", at: "energy.price_per_kwh" }] : []),
      ...places(shared, end).map((place) => ({ do: "add", at: AT, index: place, value: tableOf(prices[place]) })),
    ];
  }
}

const places = (from, to) => Array.from({ length: Math.max(0, to - from) }, (_, number) => from + number);
const tableOf = (price) => Object.fromEntries(KEYS.map((key, place) => [key, price[place]]));
const set = (number, price, before) => KEYS.flatMap((key, place) =>
  (price[place] === before[place] ? [] : [{ do: "set", at: `${AT}.${number}.${key}`, value: price[place] }]));
