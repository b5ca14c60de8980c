/** What goes wrong: nothing, or what a script says. What edits a script comes when it is needed. */

import { Problem } from "/static/api.js";
import { make, write } from "/static/dom.js";
import { later } from "/static/later.js";
import { Ways } from "/static/dry_run/fields.js";
import { WORDS } from "/static/words/dry-run.js";

export class FaultsField {
  #way = "none";
  #text = "";
  #days = { first: "", last: "" };
  #plan = null; // what the editor is to know of the plan
  #editor = null;
  #loading = null;

  /** `hear(way)` and `hearText(text)` after a change. */
  constructor({ hear, hearText }) {
    this.hear = hear;
    this.hearText = hearText;
    this.ways = new Ways(WORDS.faults, Object.entries(WORDS.faultWays), (way) => this.#choose(way));
    this.problem = make("p", "problem");
    this.element = make("div", "faults", this.ways.element, this.problem);
  }

  /** What is sent with a run: the script, or null where nothing goes wrong. */
  get wanted() {
    return this.#way === "none" || !this.#text.trim() ? null : this.#text;
  }

  /** Takes a script that was kept over a reload. */
  take(text) {
    this.#text = text;
    return this.#editor?.take(text);
  }

  /** Draws the way that is chosen, for a run of these dates. */
  draw(way, days) {
    this.#way = way;
    this.#days = days;
    this.ways.set(way);
    if (this.#editor !== null) this.#editor.draw(way, days);
    else if (way !== "none") this.#load().catch(() => {}); // it draws, or tells why it cannot
  }

  /** The plan for which a script is written: its text, and what can be named in it. */
  forPlan(text, names) {
    this.#plan = { text, names };
    this.#editor?.forPlan(text, names);
  }

  /** Tells what a run that was refused said about the script. */
  async tellComplaints(message, complaints) {
    (await this.#load()).tellComplaints(message, complaints);
  }

  async #choose(way) {
    if (way === "none") {
      this.hear(way);
      return;
    }
    let isOpen = false;
    try {
      isOpen = await (await this.#load()).open(way, this.#days);
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem; // it is told already
    }
    if (isOpen) this.hear(way);
    else this.ways.set(this.#way);
  }

  /** What edits the script; throws a Problem where it cannot be had. */
  async #load() {
    try {
      return await (this.#loading ??= this.#loaded());
    } catch (problem) {
      this.#loading = null; // to be tried again
      write(this.problem, problem.message);
      throw problem;
    }
  }

  async #loaded() {
    const { FaultsEditor } = await later("/static/dry_run/faults_editor.js", "/static/dry-run-faults.css");
    const editor = new FaultsEditor((text) => {
      this.#text = text;
      this.hearText(text);
    });
    if (this.#plan !== null) editor.forPlan(this.#plan.text, this.#plan.names);
    await editor.take(this.#text);
    this.#editor = editor;
    write(this.problem, "");
    this.element.append(editor.element);
    editor.draw(this.#way, this.#days);
    return editor;
  }
}
