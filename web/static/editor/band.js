/** A day from midnight to midnight: its sky, its lamps, and pieces side by side whose borders move. */

import { make, show, write } from "/static/dom.js";
import { onWithin } from "/static/editor/cycle.js";
import { SNAP_MS } from "/static/editor/day.js";
import { Handle } from "/static/editor/handle.js";
import { skyOf, skyParts } from "/static/preview/sky.js";
import { drawn, tickAt } from "/static/strip.js";
import { WORDS } from "/static/words/editor.js";

const LAMPS_MAX = 3;

function box(className, from, to, ...inside) {
  const part = make("div", className, ...inside);
  part.style.left = `${100 * from}%`;
  part.style.width = `${100 * (to - from)}%`;
  return part;
}

/** Rewrites an element's children only where what they show differs. */
function redo(element, key, build) {
  if (element.shownKey === key) return;
  element.shownKey = key;
  element.replaceChildren(...build());
}

/** `opened(place, isByKey)` and `moved(place, anchor)` are told what somebody does to a piece. */
export class Band {
  constructor({ name, opened, moved }) {
    Object.assign(this, { name, opened, moved });
    this.handles = [];
    this.dragged = null;
    this.sky = make("div", "sky-row");
    this.lamps = make("div", "band-lamps");
    this.fills = make("div", "band-fills");
    this.track = make("div", "band-track", this.fills);
    this.axis = make("div", "axis");
    this.bubble = make("div", "band-bubble");
    this.bubble.hidden = true;
    for (const part of [this.sky, this.lamps, this.fills, this.axis, this.bubble]) {
      part.setAttribute("aria-hidden", "true");
    }
    this.element = make("div", "band", this.sky, this.lamps, this.track, this.axis, this.bubble);
    this.track.addEventListener("click", (event) => this.tap(event));
  }

  /** Draws pieces [{place, anchor, cycle, ms}] in the order of the day; `on` are intervals in
   * seconds of the day, or null where the cycles themselves are drawn. */
  draw({ pieces, day, on, lamps, selected, mayEdit }) {
    Object.assign(this, { pieces, day, on, selected, mayEdit });
    const { sun } = day.told;
    redo(this.sky, JSON.stringify([sun, day.fromMs]), () => skyOf(skyParts(sun, day.fromMs, day.toMs), true));
    redo(this.axis, day.told.from_utc + day.hours.length, () =>
      day.hours.slice(1).map(({ part, text, hour }) => tickAt(part, text, hour)));
    redo(this.lamps, JSON.stringify(lamps), () => this.lampRows(lamps));
    this.layOut();
  }

  lampRows(lamps) {
    return lamps.slice(0, LAMPS_MAX).map(({ name, on }) => {
      const lit = on.map(([from, to]) => box("lit", (from * 1000) / this.day.lengthMs, (to * 1000) / this.day.lengthMs));
      return make("div", "lamp-row", ...lit, make("span", "lamp-name", WORDS.lit(name)));
    });
  }

  /** The pieces with the one that is being dragged where the finger has it. */
  placed() {
    const { place, ms, anchor } = this.dragged ?? {};
    const pieces = this.pieces.map((piece) => (piece.place === place ? { ...piece, ms, anchor } : piece));
    const at = (piece) => this.day.inside(piece.ms);
    return pieces.sort((a, b) => at(a) - at(b) || a.place - b.place);
  }

  layOut() {
    const pieces = this.placed();
    const parts = pieces.map(({ ms }) => this.day.part(this.day.inside(ms)));
    const key = JSON.stringify([pieces, this.selected, this.dragged ? 0 : this.on]);
    redo(this.fills, key, () => [...this.fillsOf(pieces, parts), this.onStrip(pieces, parts)]);
    while (this.handles.length < pieces.length) {
      this.handles.push(new Handle(this, 0));
      this.track.append(this.handles.at(-1).element);
    }
    for (const handle of this.handles.splice(pieces.length)) handle.element.remove();
    // By place, not by time: the one that has the focus keeps its piece.
    [...pieces].sort((a, b) => a.place - b.place).forEach((piece, number) => {
      this.handles[number].place = piece.place;
      this.handles[number].draw(piece, this);
    });
  }

  fillsOf(pieces, parts) {
    const fill = (piece, from, to) => {
      const isChosen = piece.place === this.selected ? " is-chosen" : "";
      const parity = pieces.indexOf(piece) % 2 ? " is-odd" : "";
      return box(`band-piece${isChosen}${parity}`, from, to, make("span", "piece-word", WORDS.cycleShort(piece.cycle)));
    };
    if (!pieces.length) return [];
    const fills = pieces.map((piece, number) => fill(piece, parts[number], parts[number + 1] ?? 1));
    if (parts[0] > 0) fills.unshift(fill(pieces.at(-1), 0, parts[0]));
    return fills;
  }

  onStrip(pieces, parts) {
    const seconds = this.day.lengthMs / 1000;
    const svg = drawn("svg", { viewBox: `0 0 ${seconds} 10`, preserveAspectRatio: "none", class: "band-on" });
    const on = this.on !== null && !this.dragged ? this.on : this.planned(pieces, parts, seconds);
    // One path for all: a day of short steps has a thousand of them.
    const path = on.map(([from, to]) => `M${from} 0H${to}V10H${from}Z`).join("");
    svg.append(drawn("path", { d: path, class: "was-on" }));
    return svg;
  }

  /** What the cycles would do on their own, the last of the day before from its own start on. */
  planned(pieces, parts, seconds) {
    return pieces.flatMap(({ cycle }, number) => {
      const [from, to] = [parts[number] * seconds, (parts[number + 1] ?? 1) * seconds];
      const isLast = number === pieces.length - 1;
      const found = cycle ? onWithin(cycle, from, isLast ? seconds * (1 + parts[0]) : to) : [];
      if (!isLast) return found;
      return found.flatMap(([a, b]) => {
        if (b <= seconds) return [[a, b]];
        return a < seconds ? [[a, seconds], [0, b - seconds]] : [[a - seconds, b - seconds]];
      });
    });
  }

  pieceOf(place) {
    return this.placed().find((piece) => piece.place === place);
  }

  /** The instant under a point of the window. */
  msAt(clientX) {
    const { left, width } = this.track.getBoundingClientRect();
    return this.day.fromMs + ((clientX - left) / width) * this.day.lengthMs;
  }

  /** The place of the piece whose border is nearest to a point of the window. */
  nearest(clientX) {
    const away = ({ ms }) => Math.abs(this.day.inside(ms) - this.msAt(clientX));
    return this.placed().reduce((best, piece) => (away(piece) < away(best) ? piece : best)).place;
  }

  /** The first and the last instant of the day to which a border may go between its neighbours;
   * the first is after the last where they leave no room. */
  bounds(place) {
    const at = (piece) => this.day.inside(piece.ms);
    const pieces = [...this.pieces].sort((a, b) => at(a) - at(b) || a.place - b.place);
    const number = pieces.findIndex((piece) => piece.place === place);
    const low = number > 0 ? at(pieces[number - 1]) + SNAP_MS : this.day.fromMs;
    const high = (number + 1 < pieces.length ? at(pieces[number + 1]) : this.day.toMs) - SNAP_MS;
    return [low, high];
  }

  tap(event) {
    if (event.target.closest(".band-handle") || !this.pieces.length) return;
    const ms = this.msAt(event.clientX);
    const begun = this.placed().filter((piece) => this.day.inside(piece.ms) <= ms);
    this.open((begun.at(-1) ?? this.placed().at(-1)).place);
  }

  open(place, isByKey = false) {
    this.opened(place, isByKey);
  }

  /** Shows a border where it would go. */
  preview(place, { anchor, ms }) {
    this.dragged = { place, anchor, ms };
    this.layOut();
    write(this.bubble, WORDS.moment(this.day.clockText(ms), anchor));
    show(this.bubble, true);
    this.bubble.style.left = `${100 * this.day.part(this.day.inside(ms))}%`;
    this.bubble.style.translate = `${-100 * this.day.part(this.day.inside(ms))}% 0`;
  }

  /** Tells that a border was put somewhere. */
  commit(place) {
    const wanted = this.dragged;
    this.dragged = null;
    if (wanted !== null) this.moved(place, wanted.anchor);
  }

  letGo() {
    this.dragged = null;
    this.hideBubble();
    this.layOut();
  }

  hideBubble() {
    show(this.bubble, false);
  }
}
