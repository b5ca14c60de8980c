/** A form that asks the least there is to ask, and adds to the plan what comes of it. */

import { button, make } from "/static/dom.js";
import { announce } from "/static/frame/orders.js";
import { alerting, listFindings, refusalLines } from "/static/editor/findings.js";
import { labelled } from "/static/editor/labelled.js";

/** `asked`: {name: what `labelled` takes}; `edits(values)` tells what to ask of the plan; `words(values)`
 * what that was; `act`: the button's words; `added(values)` is called once it is there. */
export class AddForm {
  constructor(desk, { asked, edits, words, act, added = () => {} }) {
    Object.assign(this, { desk, edits, words, added });
    this.fields = Object.fromEntries(Object.entries(asked).map(([name, one]) => [name, labelled(one)]));
    const { element: refused, list } = alerting();
    this.refused = list;
    this.go = button("strong", act, () => this.send());
    this.go.dataset.order = "";
    this.asked = make("div", "group", ...Object.values(this.fields).map(({ element }) => element));
    this.element = make("div", "groups", this.asked, refused, make("div", "buttons", this.go));
    this.element.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target.tagName === "INPUT") this.send();
    });
  }

  /** What stands in the form, by name. */
  get values() {
    return Object.fromEntries(Object.entries(this.fields).map(([name, { control }]) => [name, control.value.trim()]));
  }

  async send() {
    if (this.isSending) return;
    this.isSending = true;
    const { values } = this;
    const answer = await this.desk.draft.edit(this.edits(values), this.words(values));
    this.isSending = false;
    listFindings(this.refused, answer.isDone ? [] : refusalLines(answer));
    if (!answer.isDone) return;
    announce(this.words(values));
    this.added(values);
  }
}
