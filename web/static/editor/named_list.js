/** Sensors, plants or reservoirs of a plan: each by its name, with its fields. */

import { arrange } from "/static/arrange.js";
import { button, make, show } from "/static/dom.js";
import { Fields } from "/static/editor/fields.js";
import { nameField } from "/static/editor/naming.js";
import { removedByName } from "/static/editor/removal.js";
import { GROUPS, WORDS } from "/static/words/settings.js";

export class NamedList {
  /** `list`: its key in the plan; `table`: the schema's name of what is in it. */
  constructor(desk, { list, table }) {
    Object.assign(this, { desk, list, table });
    this.items = new Map();
    this.home = make("div", "groups");
    this.none = make("p", "hint", WORDS.lists[list].none);
    this.element = make("div", "groups", make("h3", "", WORDS.lists[list].title), this.none, this.home);
  }

  draw(plan) {
    const found = Object.entries(Object(plan[this.list]));
    const names = found.map(([name]) => name);
    const gone = [...this.items.keys()].filter((name) => !names.includes(name));
    const fresh = names.filter((name) => !this.items.has(name));
    const wasIn = gone.length === 1 && this.items.get(gone[0]).element.contains(document.activeElement);
    for (const name of gone) this.items.delete(name);
    for (const name of fresh) this.items.set(name, new NamedItem(this, name));
    arrange(this.home, names.map((name) => this.items.get(name).element));
    for (const [name, one] of found) this.items.get(name).draw(Object(one));
    show(this.none, names.length === 0);
    if (wasIn && fresh.length === 1) this.items.get(fresh[0]).naming.control.focus(); // it has got another name
  }

  /** Leads to one of them, which has just been added. */
  enter(name) {
    const { element } = this.items.get(name);
    element.scrollIntoView({ block: "nearest" });
    element.querySelector("summary").focus({ preventScroll: true });
  }
}

class NamedItem {
  constructor({ desk, list, table }, name) {
    this.name = name;
    this.at = `${list}.${name}`;
    this.fields = new Fields(desk, { table, groups: GROUPS[table], called: name });
    this.naming = nameField(desk, { label: WORDS.lists[list].name, from: list, name });
    this.removal = button("quiet", WORDS.lists[list].remove(name), () => removedByName(desk, list, name));
    this.removal.dataset.order = "";
    this.element = make(
      "section", "item", make("h4", "", name), desk.places.home(this.at), this.fields.element, this.naming.element,
      make("div", "buttons", this.removal),
    );
  }

  draw(one) {
    this.fields.draw(this.at, one);
    this.naming.draw(`${this.at}.`, this.name);
  }
}
