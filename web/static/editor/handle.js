/** The border at which a piece of the day begins: dragged by finger or mouse, moved by keys. */

import { make } from "/static/dom.js";
import { CLOCK } from "/static/editor/anchor.js";
import { SNAP_MS } from "/static/editor/day.js";
import { WORDS } from "/static/words/editor.js";

const FAR_MS = 3_600_000;
const TAP_PX = 5; // a finger that meant to tap moves so far at most
const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -12, PageUp: 12 };

/** The instants of the day at which a piece may begin: what it is tied to stays, and a clock time,
 * or the distance to what it is tied to, is a multiple of five minutes. */
function placesOf({ anchor, ms }, day, [low, high]) {
  if (anchor.base === CLOCK) return day.moments.filter((at) => low <= at && at <= high);
  const own = day.inside(ms) - anchor.s * 1000;
  const places = [];
  for (let at = own + Math.ceil((low - own) / SNAP_MS) * SNAP_MS; at <= high; at += SNAP_MS) places.push(at);
  return places;
}

/** Where a piece begins at an instant of the day, as {anchor, ms}. */
function begunAt({ anchor, ms }, at, day) {
  const byMs = at - day.inside(ms);
  const s = anchor.base === CLOCK ? day.clock(at) : anchor.s + byMs / 1000;
  return { anchor: { base: anchor.base, s }, ms: ms + byMs };
}

function nearest(places, ms) {
  const away = (at) => Math.abs(at - ms);
  return places.reduce((best, at) => (away(at) < away(best) ? at : best));
}

/** One border of a band. `band` tells where pieces are (`pieceOf`, `bounds`, `msAt`) and is told
 * where this one goes (`preview`, `commit`) and that it was tapped (`open`). */
export class Handle {
  constructor(band, place) {
    this.band = band;
    this.place = place;
    this.element = make("div", "band-handle", make("span", "band-grip"));
    this.element.setAttribute("role", "slider");
    this.element.tabIndex = 0;
    this.element.setAttribute("aria-valuemin", "0");
    this.element.setAttribute("aria-valuemax", "1439");
    this.element.addEventListener("keydown", (event) => this.key(event));
    this.element.addEventListener("pointerdown", (event) => this.press(event));
    this.element.addEventListener("blur", () => this.band.hideBubble());
  }

  /** Writes where it stands, and what that means. */
  draw(piece, { day, mayEdit }) {
    this.element.style.left = `${100 * day.part(day.inside(piece.ms))}%`;
    const tells = {
      "aria-label": WORDS.handleName(this.band.name, WORDS.cycle(piece.cycle)),
      "aria-valuenow": String(Math.floor(day.clock(piece.ms) / 60)),
      "aria-valuetext": WORDS.moment(day.clockText(piece.ms), piece.anchor),
      "aria-disabled": String(!mayEdit),
    };
    for (const [name, value] of Object.entries(tells)) {
      if (this.element.getAttribute(name) !== value) this.element.setAttribute(name, value);
    }
  }

  key(event) {
    const steps = KEYS[event.key];
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      this.band.open(this.place, true);
    } else if (steps !== undefined && !event.ctrlKey && !event.altKey && !event.metaKey) {
      event.preventDefault();
      if (!this.band.mayEdit) return;
      const isFar = event.shiftKey || Math.abs(steps) > 1;
      this.step(Math.sign(steps), isFar ? FAR_MS : 0);
    }
  }

  /** Goes on by about so much, or to the next place where that is 0: from 06:32 to 06:35. */
  step(direction, byMs) {
    const { day } = this.band;
    const piece = this.band.pieceOf(this.place);
    const own = day.inside(piece.ms);
    const places = placesOf(piece, day, this.band.bounds(this.place)).filter((at) => (at - own) * direction > 0);
    if (!places.length) return;
    this.band.preview(this.place, begunAt(piece, nearest(places, own + direction * byMs), day));
    this.band.commit(this.place);
  }

  press(event) {
    if (event.button !== 0 || !event.isPrimary) return;
    const place = this.band.nearest(event.clientX); // of borders under one finger, the nearest
    const start = this.band.pieceOf(place);
    const startMs = this.band.msAt(event.clientX);
    const { day } = this.band;
    const own = day.inside(start.ms);
    const places = placesOf(start, day, this.band.bounds(place));
    let hasMoved = false;
    const end = new AbortController();
    const { signal } = end;
    const move = (moved) => {
      hasMoved ||= Math.abs(moved.clientX - event.clientX) > TAP_PX;
      if (!hasMoved || !this.band.mayEdit) return;
      const wanted = own + this.band.msAt(moved.clientX) - startMs;
      if (places.length) this.band.preview(place, begunAt(start, nearest(places, wanted), day));
    };
    this.element.setPointerCapture(event.pointerId);
    this.element.addEventListener("pointermove", move, { signal });
    this.element.addEventListener("pointerup", () => {
      end.abort();
      this.band.hideBubble();
      if (!hasMoved) this.band.open(place);
      else this.band.commit(place);
    }, { signal });
    this.element.addEventListener("pointercancel", () => {
      end.abort();
      this.band.letGo();
    }, { signal });
  }
}
