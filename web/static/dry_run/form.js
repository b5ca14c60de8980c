/** All that is chosen for a dry run: drawn, kept in the address, put together for the program. */

import { Problem } from "/static/api.js";
import { make } from "/static/dom.js";
import { choiceOf, daysIn, queryOf } from "/static/dry_run/address.js";
import { daysAfter, isDate } from "/static/dry_run/dates.js";
import { FaultsField } from "/static/dry_run/faults_field.js";
import { keep, kept } from "/static/dry_run/kept.js";
import { PeriodField } from "/static/dry_run/period_field.js";
import { PlanField } from "/static/dry_run/plan_field.js";
import { Plans, inspect } from "/static/dry_run/plans.js";
import { namesIn, zoneIn } from "/static/dry_run/plan_document.js";
import { WeatherField } from "/static/dry_run/weather_field.js";
import { priceIn } from "/static/prices.js";
import { WORDS } from "/static/words/dry-run.js";

const PLANS = ["plan", "compare"];
const FILES = ["plan", "compare", "weather"];

export class Form {
  choice = choiceOf("");
  files = { plan: null, compare: null, weather: null };
  #plans = new Plans();
  #inspected = { plan: { which: null }, compare: { which: null } };
  #today = "";
  #mayInspect = false; // before somebody is there, nothing is asked

  /** `hear()` after each change of what is chosen. */
  constructor(home, hear) {
    this.hear = hear;
    const plan = (key, name, mayBeNone) => new PlanField(name, {
      mayBeNone,
      hear: (which) => this.#choose({ [key]: which }),
      hearFile: (file) => this.#takeFile(key, file),
    });
    this.fields = {
      plan: plan("plan", WORDS.plan, false),
      compare: plan("compare", WORDS.compare, true),
      period: new PeriodField((change) => this.#choose(change)),
      weather: new WeatherField({
        hear: (weather) => this.#choose({ weather }),
        hearFile: (file) => this.#takeFile("weather", file),
      }),
      faults: new FaultsField({
        hear: (faults) => this.#choose({ faults }),
        hearText: (text) => {
          keep("faults", text);
          this.hear();
        },
      }),
    };
    this.plansProblem = make("p", "problem");
    const parts = [
      [WORDS.partPlan, this.fields.plan.element, this.fields.compare.element, this.plansProblem],
      [WORDS.partDays, this.fields.period.element],
      [WORDS.partWeather, this.fields.weather.element],
      [WORDS.partFaults, this.fields.faults.element],
    ];
    home.append(...parts.map(([title, ...inside]) => make("section", "panel part", make("h2", "", title), ...inside)));
  }

  /** Takes up a query of the address, and what this browser kept. */
  async begin(query) {
    this.choice = choiceOf(query);
    const [faults, ...files] = await Promise.all([kept("faults"), ...FILES.map((key) => kept(`file-${key}`))]);
    FILES.forEach((key, place) => {
      this.files[key] = files[place];
    });
    if (faults) await this.fields.faults.take(faults);
    this.draw();
  }

  /** Somebody is there who may run plans, or may not. */
  enter(mayOrder) {
    this.#mayInspect = true;
    this.#plans.mayHaveDraft = mayOrder;
    return this.askPlans();
  }

  /** Asks the controller for its plans, and looks anew at what could not be read. */
  async askPlans() {
    await this.#plans.ask();
    this.plansProblem.textContent = this.#plans.problem && WORDS.plansUnknown(this.#plans.problem);
    for (const key of PLANS) this.#inspected[key] = { which: null };
    this.draw();
  }

  /** The date at the site: where nobody chose another, a run begins on it. */
  setToday(date) {
    if (date === this.#today) return;
    this.#today = date;
    this.draw();
  }

  /** The date on which a run begins. */
  get from() {
    return this.choice.from || this.#today;
  }

  /** The query that brings all of it back on any day. */
  get query() {
    return queryOf({ ...this.choice, from: this.from });
  }

  /** The same, without a date that nobody chose. */
  get addressQuery() {
    return queryOf(this.choice);
  }

  /** A run was made from this date: it is chosen. */
  settle() {
    this.choice.from = this.from;
  }

  /** How many days, or null where that is no number. */
  get days() {
    return daysIn(this.choice.days);
  }

  draw() {
    const { choice, files, fields, from } = this;
    for (const key of PLANS) {
      fields[key].draw(this.#plans, choice[key], files[key]);
      this.#inspect(key);
    }
    this.isWhole = fields.period.draw({ from, days: choice.days });
    fields.weather.draw(choice.weather, files.weather);
    const last = this.isWhole ? daysAfter(from, this.days - 1) : null;
    fields.faults.draw(choice.faults, { first: last === null ? "" : from, last: last ?? "" });
    this.hear();
  }

  /** What is asked of the program, with words about it; throws where something is missing. */
  async wanted() {
    const { choice, files } = this;
    if (!this.isWhole) throw new Problem(isDate(this.from) ? WORDS.daysFirst : WORDS.dateFirst, 0, "unfit", { about: "days" });
    if (choice.weather === "file" && files.weather === null) {
      throw new Problem(WORDS.noWeatherFile, 0, "unfit", { about: "weather" });
    }
    const [plan, compare] = await Promise.all(PLANS.map((key) => this.#read(key)));
    const weather = choice.weather === "file" ? files.weather : null;
    const faults = this.fields.faults.wanted;
    const body = {
      start: this.from,
      days: this.days,
      plan: plan.text,
      plan_name: plan.name,
      weather: weather && { name: weather.name, text: weather.text, encoding: weather.encoding },
      faults,
      want: ["picture"],
    };
    if (compare !== null) Object.assign(body, { compare: compare.text, compare_name: compare.name });
    const documentOf = async (key, { text }) => this.#inspected[key].document ?? (await inspect(text)).document;
    const document = await documentOf("plan", plan);
    const prices = [priceIn(document)];
    if (compare !== null) prices.push(priceIn(await documentOf("compare", compare)));
    const about = {
      names: compare === null ? [plan.name] : [plan.name, compare.name],
      from: this.from, days: this.days, weather: weather?.name ?? null, hasFaults: faults !== null,
      zone: zoneIn(document), prices,
    };
    return { body, about };
  }

  /** Shows a refusal beside what it is about; the element to look at, or null. */
  tellProblem(problem) {
    const { fields } = this;
    const { about, findings = [], complaints = [] } = problem.more;
    if (about === "plan" || about === "compare") {
      fields[about].tell(problem.message, findings);
      return fields[about].element;
    }
    if (about === "weather") {
      fields.weather.tell(problem.message);
      return fields.weather.element;
    }
    if (about === "faults") {
      fields.faults.tellComplaints(problem.message, complaints);
      return fields.faults.element;
    }
    return about === "start" || about === "days" ? fields.period.element : null;
  }

  #choose(change) {
    Object.assign(this.choice, change);
    if ("weather" in change) this.fields.weather.tell("");
    this.draw();
  }

  #takeFile(key, file) {
    this.files[key] = file;
    keep(`file-${key}`, file);
    if (key in this.#inspected) this.#inspected[key] = { which: null };
    this.draw();
  }

  async #read(key) {
    const which = this.choice[key];
    if (which === "none") return null;
    try {
      return await this.#plans.read(which, this.files[key]);
    } catch (problem) {
      throw new Problem(problem.message, problem.status ?? 0, problem.kind ?? "unfit", { about: key });
    }
  }

  /** Tells what the chosen plan has, or what is wrong with it, before anything is run. */
  async #inspect(key) {
    const which = this.choice[key];
    const isMissing = which === "file" && this.files[key] === null;
    if (!this.#mayInspect || isMissing || this.#inspected[key].which === which) return;
    const looking = { which, document: null };
    this.#inspected[key] = looking;
    const isNewest = () => this.#inspected[key] === looking;
    const field = this.fields[key];
    field.tell("");
    field.tellWhat("");
    try {
      const plan = await this.#read(key);
      if (plan === null || !isNewest()) return;
      const found = await inspect(plan.text);
      if (!isNewest()) return;
      looking.document = found.document;
      field.tell(found.is_fit ? "" : WORDS.planUnfit, found.findings);
      if (found.is_fit) field.tellWhat(WORDS.planHas(namesIn(found.document).loads, zoneIn(found.document)));
      if (key === "plan") this.fields.faults.forPlan(plan.text, namesIn(found.document));
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      if (isNewest()) field.tell(WORDS.planUnread(problem.message));
    }
  }
}
