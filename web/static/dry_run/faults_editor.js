/** A fault script, put together in a form or written as text. Both show the same script, and what is
 * wrong with it stands beside the field or the text as it is typed. */

import { post } from "/static/api.js";
import { button, make, show, write } from "/static/dom.js";
import { FaultCard } from "/static/dry_run/fault_card.js";
import { FilePick, Field, select } from "/static/dry_run/fields.js";
import { KINDS, MOMENTS, faultsOf, placeOf, scriptText } from "/static/dry_run/fault_script.js";
import { textFileOf } from "/static/dry_run/files.js";
import { FAULTS, WORDS } from "/static/words/dry-run-faults.js";
import { sentence } from "/static/words/sentences.js";

const TYPING_MS = 400;
const SCRIPT_BYTES_MAX = 256 * 1024;
const FAULTS_MAX = 50; // more are easier to handle as text
const EXAMPLES = { by: "+1h", value: "0", order: "off", for: "20m", clock_unknown_for: "3m" };
const ROWS_MIN = 8;

export class FaultsEditor {
  text = "";
  #faults = [];
  #cards = [];
  #names = { loads: [], sensors: [] };
  #plan = null;
  #days = { first: "", last: "" };
  #way = "none";
  #noForm = ""; // why the form cannot show the script, until that is another
  #timer = 0;
  #asked = 0;

  /** `hearText(text)` after a change. */
  constructor(hearText) {
    this.hearText = hearText;
    this.#makeForm();
    this.#makeText();
    this.problem = make("p", "problem");
    this.problem.setAttribute("role", "status");
    this.complaints = make("ul", "plain complaints");
    this.element = make("div", "faults", this.problem, this.form, this.script, this.complaints);
  }

  #makeForm() {
    this.list = make("ol", "plain fault-list");
    this.list.setAttribute("role", "list");
    this.kind = new Field(WORDS.faultKind, select(Object.keys(KINDS).map((kind) => [kind, FAULTS.kinds[kind]]), () => {}));
    this.more = button("quiet", WORDS.addFault, () => this.#add(this.kind.control.value));
    this.form = make("div", "fault-form", this.list, make("div", "fault-add", this.kind.element, this.more));
  }

  #makeText() {
    const area = make("textarea", "script");
    Object.assign(area, { spellcheck: false, rows: ROWS_MIN, autocapitalize: "off" });
    area.addEventListener("input", () => this.#typed(area.value));
    this.area = new Field(WORDS.script, area, WORDS.scriptHint);
    this.pick = new FilePick(WORDS.scriptFile, ".toml,text/plain", async (file) => {
      try {
        const { text } = await textFileOf(file, SCRIPT_BYTES_MAX, "script");
        area.value = text;
        this.pick.tell("");
        this.#typed(text);
      } catch (error) {
        this.pick.tell(error.message);
      }
    });
    this.script = make("div", "fault-script", this.area.element, this.pick.element);
  }

  /** Draws the way that is chosen, `form`, `text` or `none`, for a run of these dates. */
  draw(way, days) {
    this.#days = days;
    const isOther = way !== this.#way;
    this.#way = way;
    if (way === "text" && isOther) this.#noForm = ""; // nobody asked for the form
    show(this.form, way === "form");
    show(this.script, way === "text");
    this.#cards.forEach((card, number) => card.draw(number, days));
    if (way === "none") this.#tell([]);
    else if (isOther) this.#checkSoon();
  }

  /** Takes a script from elsewhere, as what was kept over a reload. */
  async take(text) {
    this.text = text;
    this.area.control.value = text;
    if (text.trim()) await this.#fillForm();
  }

  /** The plan for which faults are put together: its text, and what can be named in it. */
  forPlan(text, names) {
    if (text === this.#plan) return;
    this.#plan = text;
    this.#names = names;
    const before = scriptText(this.#faults);
    this.#drawCards();
    if (scriptText(this.#faults) === before) this.#checkSoon();
    else this.#changed(); // a load or sensor stands where none could be named before
  }

  #tellProblem(text) {
    write(this.problem, text);
  }

  /** Tells what a run that was refused said about the script. */
  tellComplaints(message, complaints) {
    this.#tell(complaints);
    this.#tellProblem(complaints.length ? "" : message);
  }

  /** Makes ready for a way, for a run of these dates; false, and says why, where the form cannot
   * show the script. */
  async open(way, days) {
    this.#days = days;
    this.#noForm = "";
    this.#tellProblem("");
    if (way === "form" && this.text.trim() && !(await this.#fillForm())) return false;
    if (way === "form" && !this.#faults.length) this.#add("power_out", { isFocused: false });
    return true;
  }

  /** Reads the text into the form; where the form cannot show it, says so and answers false. */
  async #fillForm() {
    const told = await this.#ask();
    if (told === null) return false;
    const faults = faultsOf(told.document);
    const isFit = faults !== null && faults.length <= FAULTS_MAX;
    this.#noForm = isFit ? "" : WORDS.noForm;
    if (isFit) {
      this.#faults = faults;
      this.#drawCards();
    }
    this.#tell(told.complaints);
    return isFit;
  }

  #add(kind, { isFocused = true } = {}) {
    if (this.#faults.length >= FAULTS_MAX) {
      this.#tellProblem(WORDS.faultsEnough(FAULTS_MAX));
      return;
    }
    const fault = { kind };
    for (const key of KINDS[kind]) {
      if (MOMENTS.has(key)) fault[key] = this.#days.first ? `${this.#days.first}T${FAULTS.times[key]}` : "";
      else if (key in EXAMPLES) fault[key] = EXAMPLES[key];
    }
    this.#faults.push(fault);
    this.#drawCards();
    this.#changed();
    if (isFocused) this.#cards.at(-1).focus();
  }

  #remove(fault) {
    const place = this.#faults.indexOf(fault);
    this.#faults.splice(place, 1);
    this.#drawCards();
    this.#changed();
    (this.#cards[Math.min(place, this.#cards.length - 1)]?.gone ?? this.more).focus();
  }

  #drawCards() {
    this.#cards = this.#faults.map((fault) =>
      new FaultCard(fault, this.#names, { hear: () => this.#changed(), remove: () => this.#remove(fault) }));
    this.#cards.forEach((card, number) => card.draw(number, this.#days));
    this.list.replaceChildren(...this.#cards.map((card) => card.element));
  }

  #changed() {
    this.#cards.forEach((card, number) => card.draw(number, this.#days));
    this.area.control.value = scriptText(this.#faults);
    this.#typed(this.area.control.value);
  }

  #typed(text) {
    this.text = text;
    this.#noForm = "";
    this.hearText(text);
    this.#checkSoon();
  }

  #checkSoon() {
    clearTimeout(this.#timer);
    if (this.#way !== "none") this.#timer = setTimeout(() => this.#check(), TYPING_MS);
  }

  async #check() {
    if (!this.text.trim()) {
      this.#tell([]);
      return;
    }
    const told = await this.#ask();
    if (told !== null) this.#tell(told.complaints);
  }

  /** What the program says about the script; null where it does not answer, or was asked anew. */
  async #ask() {
    clearTimeout(this.#timer); // whoever waits for that check is told by this one
    const asked = (this.#asked += 1);
    try {
      const told = await post("/dry-run/faults", { text: this.text, plan: this.#plan });
      return asked === this.#asked ? told : null;
    } catch (problem) {
      if (asked === this.#asked) this.#tellProblem(WORDS.notChecked(problem.message));
      return null;
    }
  }

  #tell(complaints) {
    const placed = complaints.map(({ where, message }) => ({ ...placeOf(where), where, message }));
    this.#tellProblem(this.#noForm);
    this.#cards.forEach((card, number) => card.tell(placed.filter((one) => one.number === number)));
    const rest = this.#way === "text" ? placed : placed.filter(({ number }) => number === null || !this.#cards[number]);
    this.complaints.replaceChildren(...rest.map(({ number, key, message }) => {
      const place = number === null ? "" : WORDS.faultPlace(number + 1, key);
      return make("li", "problem", place && make("strong", "", `${place}: `), sentence(message));
    }));
    show(this.complaints, rest.length > 0);
  }
}
