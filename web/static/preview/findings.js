/** What a plan's reader should know: broken limits first, then errors, warnings; notes folded. */

import { arrange } from "/static/arrange.js";
import { make, show, write } from "/static/dom.js";
import { gradeOf, ORDER } from "/static/findings.js";
import { dayBefore } from "/static/preview/comparing.js";
import { dayTitle } from "/static/preview/day_words.js";
import { FINDINGS } from "/static/words/preview.js";
import { ended, sentence } from "/static/words/sentences.js";

const NAMED = new Set(["loads", "sensors", "stands", "reservoirs"]);

/** All findings, of the text and of the days on paper, each once, worst first: {grade, where,
 * message, mend, line, days, isAsBefore}. `days` are those of the preview that show it. */
export function gathered(findings, preview) {
  const found = new Map();
  for (const finding of findings) found.set(keyOf(finding), { ...finding, grade: finding.level, days: [], isAsBefore: false });
  for (const day of preview?.days ?? []) {
    const before = new Set(dayBefore(preview, day)?.findings.map(keyOf));
    for (const finding of day.findings) {
      const key = keyOf(finding);
      const known = found.get(key) ?? { ...finding, grade: gradeOf(finding), days: [], isAsBefore: before.has(key) };
      known.days.push(day);
      known.isAsBefore &&= before.has(key);
      found.set(key, known);
    }
  }
  return [...found.values()].sort((a, b) => ORDER.indexOf(a.grade) - ORDER.indexOf(b.grade));
}

const SITE = "site"; // its notes are told apart by what they say

/** A finding of another day differs in its times and amounts alone. */
const keyOf = ({ level, where, mend, message }) => JSON.stringify([level, where, mend, where === SITE ? message : ""]);

/** Keeps a list of findings drawn. */
export class Findings {
  constructor() {
    this.list = make("ul", "plain preview-findings");
    this.list.setAttribute("role", "list");
    this.noteList = make("ul", "plain preview-findings");
    this.noteList.setAttribute("role", "list");
    this.noteCount = make("summary");
    this.notes = make("details", "", this.noteCount, this.noteList);
    this.element = make("div", "findings-home", this.list, this.notes);
    this.rows = new Map();
  }

  /** Draws what `gathered` gave. */
  draw(findings) {
    const keys = new Set(findings.map(keyOf));
    for (const key of [...this.rows.keys()]) if (!keys.has(key)) this.rows.delete(key);
    const isNote = ({ grade }) => grade === "note";
    const notes = findings.filter(isNote);
    arrange(this.list, findings.filter((one) => !isNote(one)).map((one) => this.row(one)));
    arrange(this.noteList, notes.map((one) => this.row(one)));
    write(this.noteCount, FINDINGS.notes(notes.length));
    show(this.notes, notes.length > 0);
    show(this.element, findings.length > 0);
  }

  row(finding) {
    const key = keyOf(finding);
    if (!this.rows.has(key)) this.rows.set(key, new FindingRow());
    const row = this.rows.get(key);
    row.draw(finding);
    return row.element;
  }
}

class FindingRow {
  constructor() {
    this.grade = make("strong", "finding-grade");
    this.where = make("span", "finding-where");
    this.message = make("p", "finding-message");
    this.mend = make("p", "finding-mend");
    this.beside = make("p", "hint");
    const head = make("p", "finding-head", this.grade, " ", this.where);
    this.element = make("li", "preview-finding", head, this.message, this.mend, this.beside);
  }

  draw({ grade, where, message, mend, line, days, isAsBefore }) {
    this.element.dataset.grade = grade;
    this.element.dataset.where = where;
    write(this.grade, FINDINGS.grades[grade]);
    write(this.where, FINDINGS.where(placeOf(where), line));
    write(this.message, sentence(message));
    write(this.mend, mend ? FINDINGS.mend(ended(mend)) : "");
    show(this.mend, mend !== "");
    const beside = days.length ? [days.length === 1 ? dayTitle(days[0]) : FINDINGS.onDays(days.length)] : [];
    if (isAsBefore) beside.push(FINDINGS.asBefore);
    write(this.beside, beside.join("; "));
    show(this.beside, beside.length > 0);
  }
}

/** `pump: limits, longest dry gap` for `loads.pump.limits.longest_dry_gap`. */
function placeOf(where) {
  const parts = where.split(".");
  if (parts.length < 2 || !NAMED.has(parts[0])) return parts.map(plain).join(", ");
  const [, name, ...rest] = parts;
  return rest.length ? FINDINGS.place(name, rest.map(plain).join(", ")) : name;
}

const plain = (part) => (/^\d+$/.test(part) ? String(Number(part) + 1) : part.replaceAll("_", " "));
