/** A variant's condition and name. */

import { button, make } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { Field } from "/static/editor/field.js";
import { Fields } from "/static/editor/fields.js";
import { NEW, retriggered, triggerOf, triggers } from "/static/editor/trigger.js";
import { WORDS as FORM } from "/static/words/editor.js";
import { GROUPS, WORDS } from "/static/words/settings.js";

export class VariantSettings {
  constructor(desk, load, number) {
    Object.assign(this, { desk, load, number });
    this.at = `loads.${load}.variants.${number}`;
    const besides = ["spans", "sensor", "by_hand"];
    this.fields = new Fields(desk, { table: "Variant", groups: GROUPS.Variant, besides, called: load });
    this.trigger = new Field(desk, {
      label: WORDS.newVariant.trigger, options: [],
      edits: (text, at) => retriggered(this.variant, at, text, desk.draft.document.sensors),
      words: () => WORDS.toldTrigger(load, this.name),
    });
    this.removal = button("quiet", "", () => this.remove());
    this.removal.dataset.order = "";
    this.element = make("div", "groups", this.trigger.element, this.fields.element, make("div", "buttons", this.removal));
  }

  draw(variant) {
    this.name = variant.name;
    this.variant = variant;
    const own = triggerOf(variant);
    const options = triggers(this.desk.draft.document.sensors).filter(([value]) => value !== NEW);
    this.trigger.setOptions(options.some(([value]) => value === own) ? options : [...options, [own, own || WORDS.notSet]]);
    this.trigger.draw(this.at, own);
    this.fields.draw(this.at, variant);
    const sign = FORM.sign(this.desk.draft.document.sensors?.[variant.sensor]?.measures).trim();
    for (const key of ["above", "below", "until"]) this.fields.fields.get(key).setUnit(sign);
    this.removal.textContent = WORDS.removeVariant(variant.name);
  }

  async remove() {
    const { draft } = this.desk;
    const words = WORDS.toldVariantRemoved(this.load, this.name);
    const answer = await draft.edit([{ do: "remove", at: this.at }], words);
    if (answer.isDone) tell(words, { undoing: () => draft.undo() });
    else tell(answer.message, { isProblem: true });
  }
}
