/** What a draft would do, drawn again after each edit: what changes against the plan in force, what
 * to know, and the days that tell it. What is drawn stays until something newer has come. */

import { make, show, write } from "/static/dom.js";
import { announce } from "/static/frame/orders.js";
import { Problem } from "/static/api.js";
import { later } from "/static/later.js";
import { zoneName } from "/static/moments.js";
import { accountColumns } from "/static/preview/account.js";
import { changeWords, dayBefore, isOneCurrency, mainDays } from "/static/preview/comparing.js";
import { dayColumn } from "/static/preview/day_words.js";
import { Days } from "/static/preview/days.js";
import { Findings, gathered } from "/static/preview/findings.js";
import { money } from "/static/preview/figures.js";
import { priceIn } from "/static/prices.js";
import { ACCOUNT, DAYS, SUMMARY } from "/static/words/preview.js";

const QUIET_MS = 250; // what is redrawn sooner needs no sign of it
const TOLD_AFTER_MS = 1_500; // screen readers are told when typing pauses

/** Draws the preview of a draft into `home`, and again whenever there is a newer one. */
export function drawPreview(home, draft) {
  const preview = new Preview(home, draft);
  draft.onPreview(() => preview.draw());
  draft.onChange(() => preview.draw());
  preview.draw();
}

class Preview {
  #draft;
  #drawnOf = null; // the answer that the body shows
  #quiet = 0;
  #telling = 0;
  #told = null;

  constructor(home, draft) {
    this.#draft = draft;
    this.line = make("span", "preview-line");
    this.lead = make("p", "preview-lead"); // where there is room, there is nothing to open
    this.state = make("span", "preview-state");
    this.toggle = make("button", "preview-toggle", this.line);
    this.toggle.type = "button";
    this.toggle.addEventListener("click", () => this.open(!this.isOpen));
    this.changes = make("div", "preview-changes");
    this.remark = make("p", "hint");
    this.compared = make("section", "preview-compared", make("h3", "", SUMMARY.compared), this.changes, this.remark);
    this.water = make("div", "water-home");
    this.findings = new Findings();
    this.days = new Days();
    this.body = make(
      "div", "preview-body",
      this.findings.element,
      this.compared, this.water,
      make("h3", "", DAYS.title), this.days.element,
    );
    this.body.id = "preview-body";
    this.toggle.setAttribute("aria-controls", this.body.id);
    home.classList.add("preview");
    home.replaceChildren(this.toggle, this.lead, this.state, this.body);
    this.home = home;
    this.open(false);
  }

  /** On a small screen the rest is folded below its line. */
  open(isOpen) {
    this.isOpen = isOpen;
    this.home.classList.toggle("is-open", isOpen);
    this.toggle.setAttribute("aria-expanded", String(isOpen));
  }

  draw() {
    const draft = this.#draft;
    const { preview } = draft;
    const price = preview === null || isOneCurrency(preview) ? priceIn(draft.document) : null; // used for both plans
    const findings = gathered(draft.findings, preview);
    const isInForce = !draft.isChanged && !draft.isBehind;
    const text = lineOf(draft, findings, price, SUMMARY.inForce);
    write(this.line, isInForce ? lineOf(draft, findings, price, SUMMARY.inForceFolded) : text);
    write(this.lead, text);
    show(this.compared, !isInForce);
    this.drawState();
    this.home.dataset.grade = findings[0]?.grade ?? "none";
    this.findings.draw(findings);
    show(this.body, preview !== null || findings.length > 0);
    this.tell(text);
    if (preview === null || preview === this.#drawnOf) return;
    this.#drawnOf = preview;
    this.drawChanges(preview, price);
    this.days.draw(preview);
    this.drawWater(preview);
  }

  /** What it does to roots, pumps and reservoirs: drawn by a part that plans without any do not need. */
  async drawWater(preview) {
    const days = [...preview.days, ...(preview.running?.days ?? [])];
    const isTold = days.some(({ water }) => water !== null);
    show(this.water, isTold);
    if (!isTold) return;
    try {
      const { drawCourses, PreviewWater } = await later("/static/water/preview_water.js", "/static/water/water.css");
      this.whole ??= new PreviewWater(this.water);
      this.days.setWater(drawCourses);
    } catch (problem) {
      if (!(problem instanceof Problem)) throw problem;
      this.water.replaceChildren(make("p", "problem", SUMMARY.waterUnfetched(problem.message)));
      return;
    }
    if (this.#drawnOf === preview) this.whole.draw(preview);
  }

  drawChanges(preview, price) {
    const isCompared = preview.running !== null;
    const columns = mainDays(preview).map((day) => {
      const before = dayBefore(preview, day);
      return { title: dayColumn(day), first: before ?? day, second: before === null ? null : day };
    });
    accountColumns(this.changes, columns, { price, isWhole: !isCompared, level: 4 });
    const remarks = isCompared ? [] : [SUMMARY.noRunning];
    if (isCompared && this.changes.querySelector(".account-load")) remarks.push(SUMMARY.comparedWith);
    if (remarks.length && !isOneCurrency(preview)) {
      remarks.push(ACCOUNT.currencies);
    } else if (remarks.length && price !== null) {
      remarks.push(price.perKwh === null ? SUMMARY.tariff : SUMMARY.price(money(price.perKwh, price.currency)));
    }
    const zone = this.#draft.document?.site?.timezone;
    if (zone !== undefined && zone !== zoneName()) remarks.push(SUMMARY.zone(zoneName()));
    write(this.remark, remarks.join(" "));
  }

  /** Whether what is drawn is of the newest text, and if not, why. */
  drawState() {
    const draft = this.#draft;
    const isOld = draft.preview !== null && draft.previewText !== draft.text;
    clearTimeout(this.#quiet);
    let text = "";
    if (draft.previewProblem !== null) {
      text = draft.previewProblem.status === 0 ? SUMMARY.older : SUMMARY.failed(draft.previewProblem.message);
    } else if (draft.isJudged && !draft.isFit && isOld) {
      text = SUMMARY.unfit;
    } else if (draft.isPreviewing && isOld) {
      this.#quiet = setTimeout(() => this.say(SUMMARY.drawing, true), QUIET_MS);
      return;
    }
    this.say(text, false);
  }

  say(text, isBusy) {
    write(this.state, text);
    this.home.classList.toggle("is-redrawn", isBusy);
    this.home.classList.toggle("is-old", text !== "" && !isBusy);
  }

  /** Those who do not see hear the summary once an edit has come to rest. */
  tell(text) {
    clearTimeout(this.#telling);
    if (text === this.#told) return;
    this.#telling = setTimeout(() => {
      if (this.#told !== null) announce(text);
      this.#told = text;
    }, TOLD_AFTER_MS);
  }
}

/** `inForce`: the words where nothing is changed. */
function lineOf(draft, findings, price, inForce) {
  const count = (grade) => findings.filter((finding) => finding.grade === grade).length;
  const parts = [];
  if (count("error")) parts.push(`${SUMMARY.errors(count("error"))}.`);
  if (count("limit")) parts.push(`${SUMMARY.limits(count("limit"))}.`);
  if (draft.preview === null) parts.push(draft.previewProblem === null ? SUMMARY.waiting : "");
  else if (!draft.isChanged && !draft.isBehind) parts.push(inForce);
  else parts.push(changeWords(draft.preview, price));
  return parts.filter(Boolean).join(" ");
}
