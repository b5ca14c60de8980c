/** All that a load has besides its day: wiring, bounds, what watches over it, limits, its name. */

import { button, make, show } from "/static/dom.js";
import { tell } from "/static/frame/orders.js";
import { beware } from "/static/editor/cautions.js";
import { Fields } from "/static/editor/fields.js";
import { nameField } from "/static/editor/naming.js";
import { GROUPS, WORDS } from "/static/words/settings.js";

export class LoadSettings {
  constructor(desk, name) {
    Object.assign(this, { desk, name });
    this.at = `loads.${name}`;
    this.fields = new Fields(desk, {
      table: "Load", groups: GROUPS.Load, besides: ["spans", "variants", "limits", "lift"], called: name, openCount: 1,
    });
    this.lift = new Fields(desk, { table: "Lift", groups: GROUPS.Lift, besides: ["curve", "fittings"], called: name });
    this.liftHome = make("div", "", this.lift.element, make("p", "hint", WORDS.liftHint), desk.places.home(`${this.at}.lift`));
    this.beware = make("div", "wide", beware(true));
    this.fields.groups.get(GROUPS.Load[0][0]).append(this.beware);
    this.naming = nameField(desk, { label: WORDS.loadName, from: "loads", name });
    this.removal = button("quiet", WORDS.removeLoad(name), () => this.remove());
    this.removal.dataset.order = "";
    this.element = make("div", "groups", this.fields.element, this.liftHome, this.naming.element, make("div", "buttons", this.removal));
  }

  draw(load) {
    this.fields.draw(this.at, load);
    show(this.liftHome, load.lift !== undefined);
    this.lift.draw(`${this.at}.lift`, Object(load.lift));
    this.naming.draw(`${this.at}.`, this.name);
    show(this.beware, load.mains !== false);
  }

  async remove() {
    const { draft } = this.desk;
    const words = WORDS.toldRemoved(this.name);
    const answer = await draft.edit([{ do: "remove", at: this.at }], words);
    if (answer.isDone) tell(words, { undoing: () => draft.undo() });
    else tell(answer.findings?.find(({ level }) => level === "error")?.message ?? answer.message, { isProblem: true });
  }
}
