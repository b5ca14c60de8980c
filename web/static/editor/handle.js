/** The border at which a piece of the day begins: dragged by finger or mouse, moved by keys. */

import { CLOCK, DAY_S } from "/static/editor/anchor.js";
import { make } from "/static/dom.js";
import { WORDS } from "/static/words/editor.js";

const SNAP_S = 300;
const FAR_S = 3600;
const TAP_PX = 5; // a finger that meant to tap moves so far at most
const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -12, PageUp: 12 };

/** Where a piece would begin if its border went to an instant: {anchor, ms}. What it is tied to
 * stays; a clock time, or the distance to what it is tied to, becomes a multiple of five minutes. */
function movedTo(piece, ms, day) {
  const { anchor } = piece;
  if (anchor.base === CLOCK) {
    const s = (Math.round(day.clock(ms) / SNAP_S) * SNAP_S) % DAY_S;
    return { anchor: { base: CLOCK, s }, ms: day.at(s) };
  }
  const s = Math.round((anchor.s + (ms - piece.ms) / 1000) / SNAP_S) * SNAP_S;
  return { anchor: { base: anchor.base, s }, ms: piece.ms + (s - anchor.s) * 1000 };
}

/** The instant that keys ask for: to the next multiple, from 06:32 to 06:35 and not to 06:37. */
function stepped({ anchor: { s }, ms }, steps, isFar) {
  if (isFar || Math.abs(steps) > 1) return ms + Math.sign(steps) * FAR_S * 1000;
  const next = steps > 0 ? Math.floor(s / SNAP_S) * SNAP_S + SNAP_S : Math.ceil(s / SNAP_S) * SNAP_S - SNAP_S;
  return ms + (next - s) * 1000;
}

/** One border of a band. `band` tells where pieces are (`pieceOf`, `bounded`, `msAt`) and is told
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
      const piece = this.band.pieceOf(this.place);
      const ms = this.band.bounded(this.place, stepped(piece, steps, event.shiftKey));
      const wanted = movedTo(piece, ms, this.band.day);
      if (wanted.ms === piece.ms) return;
      this.band.preview(this.place, wanted);
      this.band.commit(this.place);
    }
  }

  press(event) {
    if (event.button !== 0 || !event.isPrimary) return;
    const place = this.band.nearest(event.clientX); // of borders under one finger, the nearest
    const start = this.band.pieceOf(place);
    const startMs = this.band.msAt(event.clientX);
    let hasMoved = false;
    const end = new AbortController();
    const { signal } = end;
    const move = (moved) => {
      hasMoved ||= Math.abs(moved.clientX - event.clientX) > TAP_PX;
      if (!hasMoved || !this.band.mayEdit) return;
      const ms = this.band.bounded(place, start.ms + this.band.msAt(moved.clientX) - startMs);
      this.band.preview(place, movedTo(start, ms, this.band.day));
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
