/** All that a load has besides its day: wiring, bounds, what watches over it, limits, its name. */

import { button, make, show } from "/static/dom.js";
import { beware } from "/static/editor/cautions.js";
import { Fields } from "/static/editor/fields.js";
import { LiftPart } from "/static/editor/lift.js";
import { nameField } from "/static/editor/naming.js";
import { removedByName } from "/static/editor/removal.js";
import { GROUPS, WORDS } from "/static/words/settings.js";

export class LoadSettings {
  constructor(desk, name) {
    Object.assign(this, { desk, name });
    this.at = `loads.${name}`;
    this.fields = new Fields(desk, {
      table: "Load", groups: GROUPS.Load, besides: ["spans", "variants", "limits", "lift"], called: name, openCount: 1,
    });
    this.lift = new LiftPart(desk, name);
    this.beware = make("div", "wide", beware(true));
    this.fields.groups.get(GROUPS.Load[0][0]).append(this.beware);
    this.naming = nameField(desk, { label: WORDS.loadName, from: "loads", name });
    this.removal = button("quiet", WORDS.removeLoad(name), () => removedByName(desk, "loads", name));
    this.removal.dataset.order = "";
    this.element = make(
      "div", "groups", make("div", "", this.fields.element, this.lift.element), this.naming.element, make("div", "buttons", this.removal),
    );
  }

  draw(load) {
    this.fields.draw(this.at, load);
    this.lift.draw(load);
    this.naming.draw(`${this.at}.`, this.name);
    show(this.beware, load.mains !== false);
  }
}
