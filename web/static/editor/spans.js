/** The pieces of a day of one load, or of one of its variants: band, chips, and the open piece. */

import { arrange } from "/static/arrange.js";
import { button, make, show, write } from "/static/dom.js";
import { anchorText, CLOCK, readAnchor } from "/static/editor/anchor.js";
import { Band } from "/static/editor/band.js";
import { readSpan } from "/static/editor/cycle.js";
import { formPart } from "/static/editor/parts.js";
import { Wish } from "/static/editor/wish.js";
import { announce, tell } from "/static/frame/orders.js";
import { WORDS } from "/static/words/editor.js";

const ROUND_MS = 900_000;

export class Spans {
  constructor(desk, name) {
    Object.assign(this, { desk, name, chosen: null, panel: null, count: 0 });
    this.wishes = new Map();
    this.chips = new Map();
    this.band = new Band({ name, opened: (...told) => this.open(...told), moved: (...told) => this.move(...told) });
    this.noBand = make("p", "hint", WORDS.noBand);
    this.list = make("div", "chips");
    this.list.setAttribute("role", "group");
    this.list.setAttribute("aria-label", WORDS.pieces(name));
    this.plus = button("chip is-plus", WORDS.add, () => this.split(this.widest()));
    this.plus.setAttribute("aria-label", WORDS.addName(name));
    this.plus.dataset.order = "";
    this.panelHome = make("div");
    this.refused = desk.places.home();
    this.element = make("div", "spans", this.band.element, this.noBand, this.list, this.panelHome, this.refused);
  }

  /** `at`: the list's place in the plan; `spans`: what stands there; `told`: what the preview says
   * of them; `on`: when the load is on, or null; `without`: a cycle to begin with. */
  draw(state) {
    Object.assign(this, state);
    this.refused.dataset.at = this.at;
    if (this.count !== this.spans.length) this.wishes.clear();
    this.count = this.spans.length;
    if (this.chosen !== null && this.chosen >= this.count) this.chosen = null;
    this.redraw();
  }

  redraw() {
    const { day } = this.desk;
    show(this.band.element, day !== null);
    show(this.noBand, day === null);
    this.pieces = this.spans.map((span, place) => this.pieceOf(span, place, day));
    const placed = this.pieces.filter(({ ms }) => ms !== null);
    if (day !== null) {
      placed.sort((a, b) => day.inside(a.ms) - day.inside(b.ms) || a.place - b.place);
      const on = this.wishes.size ? null : this.on;
      const { lamps, mayEdit } = this.desk;
      const others = lamps.filter(({ name }) => name !== this.load);
      this.band.draw({ pieces: placed, day, on, lamps: others, selected: this.chosen, mayEdit });
    }
    this.ordered = [...placed, ...this.pieces.filter(({ ms }) => ms === null)];
    this.drawChips();
    this.drawPanel();
  }

  pieceOf(span, place, day) {
    const wish = this.wishes.get(place);
    const from = wish ? wish.shown(span.from) : span.from;
    const anchor = readAnchor(from ?? "");
    const told = this.told.find((one) => one.place === place);
    return {
      place, from, anchor,
      cycle: readSpan(span),
      ms: day === null || anchor === null ? null : day.momentOf(anchor, told),
    };
  }

  /** `07:12, 30 min before sunrise`. */
  when({ ms, anchor, from }) {
    const { day } = this.desk;
    if (anchor === null) return from ?? "?";
    if (ms === null) return day === null ? from : `${from} (${WORDS.notToday})`;
    return WORDS.moment(day.clockText(ms), anchor);
  }

  drawChips() {
    const chips = this.ordered.map((piece) => {
      if (!this.chips.has(piece.place)) this.chips.set(piece.place, this.chipOf(piece.place));
      const chip = this.chips.get(piece.place);
      const time = piece.ms === null ? piece.from ?? "?" : this.desk.day.clockText(piece.ms);
      const short = WORDS.cycleShort(piece.cycle);
      write(chip.firstElementChild, time);
      write(chip.lastElementChild, short);
      // Who speaks to the device says what is written on it: the name begins with that.
      const when = piece.ms === null ? this.when(piece) : WORDS.tie(piece.anchor);
      const name = WORDS.chipName(`${time} ${short}`, [when, WORDS.cycle(piece.cycle)]);
      if (chip.getAttribute("aria-label") !== name) chip.setAttribute("aria-label", name);
      chip.setAttribute("aria-expanded", String(piece.place === this.chosen));
      return chip;
    });
    for (const place of [...this.chips.keys()]) if (place >= this.count) this.chips.delete(place);
    arrange(this.list, [...chips, this.plus]);
  }

  chipOf(place) {
    const chip = button("chip", "", () => this.open(this.chosen === place ? null : place));
    chip.append(make("span", "chip-time"), " ", make("span", "chip-cycle"));
    return chip;
  }

  /** Opens the fields of a piece, and leads there who came by a key; null closes them. */
  async open(place, isByKey = false) {
    this.chosen = place;
    if (place !== null && this.panel === null) await this.loadPanel();
    this.redraw();
    this.desk.settle();
    if (this.chosen !== null) this.panel.enter(isByKey);
  }

  async loadPanel() {
    try {
      const { PiecePanel } = await formPart("piece");
      this.panel ??= new PiecePanel(this.desk, this);
    } catch (error) {
      tell(WORDS.settingsFailed(error.message), { isProblem: true });
      this.chosen = null;
    }
  }

  drawPanel() {
    const piece = this.chosen === null ? undefined : this.pieces[this.chosen];
    if (this.panel === null || piece === undefined) {
      this.panelHome.replaceChildren();
      return;
    }
    if (!this.panelHome.firstChild) this.panelHome.append(this.panel.element);
    this.panel.draw(piece, this.spans[piece.place], this.endOf(piece));
  }

  /** When a piece ends: the start of the next, by the day's order; null where it never does. */
  endOf(piece) {
    if (piece.ms === null) return null;
    const placed = this.ordered.filter(({ ms }) => ms !== null);
    if (placed.length < 2) return null;
    return placed[(placed.indexOf(piece) + 1) % placed.length].ms;
  }

  /** Puts a border where it was dragged to. */
  async move(place, anchor) {
    const wish = this.wishes.get(place) ?? new Wish(this.desk.draft, () => this.redraw());
    this.wishes.set(place, wish);
    const own = this.spans[place].from;
    const value = anchorText(anchor);
    const edits = [{ do: "set", at: `${this.at}.${place}.from`, value }];
    const isDone = await wish.make(value, { own, edits, words: WORDS.toldMoved(this.name, value) });
    if (isDone && !wish.isSending) this.wishes.delete(place);
    if (!isDone && wish.refusal !== null) {
      tell(wish.refusal.message, { isProblem: true });
      this.wishes.delete(place);
    }
    this.redraw();
  }

  widest() {
    if (this.chosen !== null) return this.chosen;
    const lengths = this.pieces.map((piece) => this.lengthOf(piece));
    return lengths.indexOf(Math.max(...lengths));
  }

  lengthOf(piece) {
    const { day } = this.desk;
    if (piece.ms === null || day === null) return 0;
    const end = this.endOf(piece);
    if (end === null) return day.lengthMs;
    return (day.inside(end) - day.inside(piece.ms) + day.lengthMs) % day.lengthMs;
  }

  /** Cuts a piece in its middle; both halves do the same until somebody changes one. */
  async split(place) {
    const { day } = this.desk;
    const piece = this.pieces[place];
    let value = "12:00";
    let index = place + 1;
    if (day !== null && typeof piece?.ms === "number") {
      const middle = Math.round((piece.ms + this.lengthOf(piece) / 2) / ROUND_MS) * ROUND_MS;
      value = anchorText({ base: CLOCK, s: Math.round(day.clock(middle) / 60) * 60 });
      // After midnight it stands before those of the day, as a reader of the file expects.
      if (day.inside(middle) < day.inside(piece.ms)) index = this.ordered[0].place;
    }
    const whole = this.spans[place] ?? { cycle: this.without ?? "on" };
    const item = Object.assign({ from: value }, whole, { from: value }); // its start is written first
    const edits = [{ do: "add", at: this.at, index, value: item }];
    if (await this.ask(edits, WORDS.toldSplit(this.name))) await this.open(index);
  }

  async remove(place) {
    const edits = [{ do: "remove", at: `${this.at}.${place}` }];
    this.chosen = null;
    if (await this.ask(edits, WORDS.toldRemoved(this.name))) this.plus.focus();
    this.redraw();
  }

  async ask(edits, words) {
    this.wishes.clear();
    const answer = await this.desk.draft.edit(edits, words);
    if (answer.isDone) announce(words);
    else tell(answer.message, { isProblem: true });
    return answer.isDone;
  }
}
