/** Which plan: the one in force, one before it, the draft, a file. And what is wrong with it. */

import { make, show } from "/static/dom.js";
import { Field, FilePick, fill, select } from "/static/dry_run/fields.js";
import { later } from "/static/later.js";
import { WORDS } from "/static/words/dry-run.js";

const PLAN_BYTES_MAX = 256 * 1024;

export class PlanField {
  /** `hear(which)` and `hearFile(file)` when something is chosen; `mayBeNone` where no plan is one. */
  constructor(name, { mayBeNone, hear, hearFile }) {
    this.mayBeNone = mayBeNone;
    this.field = new Field(name, select([], (value) => hear(whichOf(value))));
    this.pick = new FilePick(WORDS.planFile, ".toml,text/plain", async (file) => {
      try {
        const { textFileOf } = await later("/static/dry_run/files.js");
        hearFile(await textFileOf(file, PLAN_BYTES_MAX, "plan"));
        this.pick.tell("");
      } catch (error) {
        this.pick.tell(error.message);
      }
    });
    this.found = make("div", "plan-found");
    this.found.setAttribute("aria-live", "polite");
    this.element = make("div", "plan-field", this.field.element, this.pick.element, this.found);
  }

  /** Draws the choices that there are, and which one is chosen. */
  draw(plans, which, file) {
    const choices = this.mayBeNone ? [["none", WORDS.planNone]] : [];
    choices.push(["running", plans.revision === null ? WORDS.planRunningAny : WORDS.planRunning(plans.revision)]);
    choices.push(["draft", plans.hasDraft ? WORDS.planDraft : WORDS.planDraftNone, !plans.hasDraft]);
    for (const one of plans.revisions) {
      if (!one.is_in_force) choices.push([String(one.revision), WORDS.planEarlier(one)]);
    }
    const isKnown = choices.some(([value]) => value === String(which));
    if (!isKnown && which !== "file") choices.push([String(which), WORDS.planRevision(which)]);
    choices.push(["file", WORDS.planOfFile]);
    fill(this.field.control, choices);
    this.field.control.value = String(which);
    show(this.pick.element, which === "file");
    this.pick.name(file === null ? WORDS.noFileYet : WORDS.fileChosen(file.name, file.size));
  }

  /** Tells what is wrong with the plan: a sentence, and findings; or that nothing is. */
  async tell(text, findings = []) {
    this.field.tell(text);
    const errors = findings.filter((finding) => finding.level === "error");
    this.found.replaceChildren();
    if (!errors.length) return;
    const { findingsList } = await later("/static/dry_run/findings.js", "/static/findings.css");
    this.found.replaceChildren(findingsList(errors));
  }

  /** What the plan has, in a few words. */
  tellWhat(text) {
    this.field.tellHint(text);
  }
}

const whichOf = (value) => (/^\d+$/.test(value) ? Number(value) : value);
