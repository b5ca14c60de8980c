/** A part of the form that is fetched and drawn only once somebody opens it. */

import { make, write } from "/static/dom.js";
import { WORDS } from "/static/words/editor.js";

/** `fetchPart()` resolves with a part: {element, draw(...state)}. `opened()` after it is drawn. */
export class Drawer {
  constructor(title, fetchPart, { name = "", opened = () => {} } = {}) {
    Object.assign(this, { fetchPart, opened, part: null, state: null });
    this.title = make("summary", "", title);
    if (name) this.title.setAttribute("aria-label", name);
    this.home = make("div", "drawer-home");
    this.element = make("details", "drawer", this.title, this.home);
    this.element.addEventListener("toggle", () => this.toggled());
  }

  /** Draws the part if it is there; keeps what to draw for when it comes. */
  draw(...state) {
    this.state = state;
    if (this.part !== null && this.element.open) this.part.draw(...state);
  }

  /** Opens it, and resolves when it is drawn. */
  async open() {
    this.element.open = true;
    await this.toggled();
  }

  close() {
    this.element.open = false;
    this.title.focus();
  }

  async toggled() {
    if (!this.element.open || this.state === null) return;
    try {
      this.part ??= await this.fetchPart();
    } catch (error) {
      write(this.home, WORDS.settingsFailed(error.message));
      return;
    }
    if (!this.home.contains(this.part.element)) this.home.replaceChildren(this.part.element);
    this.part.draw(...this.state);
    this.opened();
  }
}
