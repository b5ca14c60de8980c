/** The form of the plan: each load a card with its day, then all else that a plan states. */

import { arrange } from "/static/arrange.js";
import { make, show } from "/static/dom.js";
import { Day } from "/static/editor/day.js";
import { Drawer } from "/static/editor/drawer.js";
import { Places } from "/static/editor/findings.js";
import { LoadCard } from "/static/editor/load.js";
import { formPart } from "/static/editor/parts.js";
import { WORDS } from "/static/words/editor.js";

export { formParts } from "/static/editor/parts.js";

const LAMP = "lamp";

/** What every part of the form needs to know of the draft. */
class Desk {
  constructor(draft) {
    this.draft = draft;
    this.places = new Places();
    this.day = null;
    this.lamps = [];
    this.settle = () => this.settled(); // a part came into sight: findings find their places anew
  }

  get mayEdit() {
    return this.draft.rights.mayOrder;
  }

  /** Whether the preview is of the very text that the form shows. */
  get isNewest() {
    return this.draft.previewText === undefined || this.draft.previewText === this.draft.text;
  }

  read() {
    const told = this.draft.preview?.days.find(({ part }) => part === "next");
    const site = this.draft.document?.site ?? {};
    if (told === undefined) {
      this.day = null;
      return;
    }
    const key = `${told.from_utc} ${told.to_utc} ${site.timezone}`;
    if (key !== this.dayKey) this.day = dayOf(told, site.timezone);
    this.dayKey = key;
    this.day.told = told;
    this.lamps = told.loads.filter(({ kind }) => kind === LAMP);
  }

  /** Whether the plan tells of plants that a load waters. */
  hasPlants(load) {
    const stands = Object.values(this.draft.document?.stands ?? {});
    return stands.some((stand) => Object(stand).watered_by === load);
  }

  /** Loads whose changes a piece of `load` can be tied to. */
  followable(load) {
    const loads = Object.entries(this.draft.document?.loads ?? {});
    return loads.filter(([name, { kind }]) => kind === LAMP && name !== load).map(([name]) => name);
  }
}

function dayOf(told, zone) {
  try {
    return new Day(told, zone);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return new Day(told, "UTC"); // a zone that this browser does not know
  }
}

const isTable = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

/** Draws the form of a draft (plan/draft.js) into an element, and redraws it as the draft changes. */
export function drawEditor(home, draft) {
  const desk = new Desk(draft);
  const cards = new Map();
  const list = make("ul", "plain cards");
  list.setAttribute("role", "list");
  const noPlan = make("p", "problem", WORDS.noPlan);
  const adding = new Drawer(WORDS.addLoad, async () => {
    const { NewLoad } = await formPart("new_load");
    return new NewLoad(desk, () => adding.close());
  }, { opened: desk.settle });
  const rest = new Drawer(WORDS.rest, async () => {
    const { Rest } = await formPart("rest");
    return new Rest(desk);
  }, { opened: desk.settle });
  for (const { element } of [adding, rest]) element.classList.add("panel");
  const form = make("div", "editor", desk.places.home(""), list, adding.element, rest.element);
  home.replaceChildren(noPlan, form);

  const drawCards = (loads) => {
    const told = new Map((desk.day?.told.loads ?? []).map((load) => [load.name, load]));
    const names = Object.keys(loads).filter((name) => isTable(loads[name]));
    const gone = [...cards.keys()].filter((name) => !isTable(loads[name]));
    const fresh = names.filter((name) => !cards.has(name));
    const wasIn = gone.length === 1 && cards.get(gone[0]).element.contains(document.activeElement);
    for (const name of gone) cards.delete(name);
    for (const name of fresh) cards.set(name, new LoadCard(desk, name));
    arrange(list, names.map((name) => cards.get(name).element));
    for (const name of names) cards.get(name).draw(loads[name], told.get(name));
    if (wasIn && fresh.length === 1) cards.get(fresh[0]).enter(); // it has got another name
  };
  desk.settled = () => {
    desk.places.draw(draft.findings);
    for (const control of form.querySelectorAll("[data-order]")) control.disabled = !desk.mayEdit;
  };
  const draw = () => {
    const { document: plan } = draft;
    show(noPlan, plan === null);
    show(form, plan !== null);
    if (plan === null) return;
    desk.read();
    drawCards(isTable(plan.loads) ? plan.loads : {});
    adding.draw(plan);
    rest.draw(plan);
    desk.settled();
  };
  draft.onChange(draw);
  draft.onPreview(draw);
  draw();
}
