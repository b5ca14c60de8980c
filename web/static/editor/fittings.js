/** What the water passes on its way up: so many of each fitting, a row each. */

import { arrange } from "/static/arrange.js";
import { button, make, show } from "/static/dom.js";
import { Field } from "/static/editor/field.js";
import { refusalLines } from "/static/editor/findings.js";
import { Asked, setOptions } from "/static/editor/labelled.js";
import { keysOf, numberOr, schemaOf } from "/static/editor/schema.js";
import { Stepper } from "/static/editor/stepper.js";
import { announce } from "/static/frame/orders.js";
import { REMOVE } from "/static/words/rows.js";
import { FITTINGS } from "/static/words/water_form.js";

export class Fittings {
  constructor(desk, load, at) {
    Object.assign(this, { desk, load, at });
    this.rows = new Map();
    this.list = make("ul", "plain fittings");
    this.list.setAttribute("role", "list");
    this.choice = new Asked({ label: FITTINGS.which, options: [] });
    this.adding = button("", FITTINGS.add, () => this.add());
    this.adding.dataset.order = "";
    this.more = make("div", "fitting-more", this.choice.element, this.adding);
    this.element = make(
      "fieldset", "part wide", make("legend", "", FITTINGS.title), make("p", "hint", FITTINGS.hint), this.list, this.more,
    );
  }

  /** What a fitting is, in the schema's words. */
  wordsOf(name) {
    return schemaOf(this.desk.draft.schema, "Fittings", name).description ?? name;
  }

  draw(fittings) {
    this.fittings = fittings;
    const names = Object.keys(fittings);
    for (const name of this.rows.keys()) if (!names.includes(name)) this.rows.delete(name);
    for (const name of names) if (!this.rows.has(name)) this.rows.set(name, new FittingRow(this, name));
    arrange(this.list, names.map((name) => this.rows.get(name).element));
    for (const [name, row] of this.rows) row.draw(`${this.at}.${name}`, String(fittings[name]));
    const others = keysOf(this.desk.draft.schema, "Fittings").filter((name) => !names.includes(name));
    setOptions(this.choice.control, others.map((name) => [name, this.wordsOf(name)]));
    show(this.list, names.length > 0);
    show(this.more, others.length > 0);
  }

  async add() {
    const name = this.choice.control.value;
    const words = FITTINGS.added(this.load, this.wordsOf(name));
    if (!(await this.edit([{ do: "set", at: `${this.at}.${name}`, value: 1 }], words))) return;
    this.rows.get(name)?.stepper.input.focus();
  }

  async remove(name) {
    const isLast = Object.keys(this.fittings).length === 1;
    const words = FITTINGS.removed(this.load, this.wordsOf(name));
    const edits = [{ do: "remove", at: isLast ? this.at : `${this.at}.${name}` }];
    if (await this.edit(edits, words)) this.choice.focus();
  }

  /** True where it is done; else it is said why not. */
  async edit(edits, words) {
    const answer = await this.desk.draft.edit(edits, words);
    this.choice.refuse(answer.isDone ? [] : refusalLines(answer));
    if (answer.isDone) announce(words);
    return answer.isDone;
  }
}

/** How many of one fitting; a button on either side, as wet hands want it. */
class FittingRow {
  constructor(fittings, name) {
    const words = fittings.wordsOf(name);
    this.stepper = new Stepper({
      name: words,
      step: (direction) => this.field.commit(String(Math.max(0, (Number(this.shown) || 0) + direction))),
      typed: (text) => this.field.commit(text.trim()),
    });
    this.stepper.input.inputMode = "numeric";
    this.field = new Field(fittings.desk, {
      label: words,
      edits: (text, at) => [{ do: "set", at, value: numberOr(text) }],
      words: (text) => FITTINGS.counted(fittings.load, words, text),
      shown: (text) => this.show(text),
    });
    this.field.element.classList.add("is-stepped"); // its stepper stands for its control
    this.stepper.input.setAttribute("aria-describedby", this.field.control.getAttribute("aria-describedby"));
    const removal = button("quiet row-removal", REMOVE, () => fittings.remove(name));
    removal.dataset.order = "";
    removal.setAttribute("aria-label", FITTINGS.removeIt(words));
    this.element = make("li", "fitting", this.stepper.element, removal, this.field.element);
  }

  draw(at, count) {
    this.field.draw(at, count);
  }

  show(text) {
    this.shown = text;
    this.stepper.write(text);
    this.stepper.input.setAttribute("aria-invalid", String(this.field.wish.refusal !== null));
  }
}
