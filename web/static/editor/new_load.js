/** Adding a load: the least is asked, the rest begins with sound values for its kind. */

import { make, show } from "/static/dom.js";
import { AddForm } from "/static/editor/add_form.js";
import { beware } from "/static/editor/cautions.js";
import { freeName, placeOf } from "/static/editor/named.js";
import { numberOr } from "/static/editor/schema.js";
import { WORDS } from "/static/words/settings.js";

// Lines of the 40-pin header that common boards leave free, in the order of the plan's reader.
const FREE_LINES = [17, 27, 22, 23, 24, 25, 5, 6, 12, 13, 16, 26, 20, 21, 19, 18, 4];
const SHORT = { shortest_on: "5s", shortest_off: "5s" };
const BEGINNINGS = {
  pump: {
    longest_on: "45m", ...SHORT, without_clock: "15m on, 15m off",
    spans: [{ from: "00:00", cycle: "15m on, 15m off" }],
  },
  lamp: { spans: [{ from: "06:00", cycle: "on" }, { from: "22:00", cycle: "off" }] },
  fan: { spans: [{ from: "00:00", cycle: "15m on, 45m off" }] },
  valve: { longest_on: "10m", ...SHORT, spans: [{ from: "00:00", cycle: "1m on, 59m off" }] },
  heater: { longest_on: "1h", spans: [{ from: "00:00", cycle: "off" }] },
};
const UNKNOWN = "";

/** A line that no load and no sensor of the plan hangs on; "" where none is known to be free. */
function freeLine(plan) {
  const parts = [...Object.values(plan?.loads ?? {}), ...Object.values(plan?.sensors ?? {})];
  const used = new Set(parts.map(({ line }) => line));
  return FREE_LINES.find((line) => !used.has(line)) ?? "";
}

export class NewLoad {
  constructor(desk, close) {
    this.desk = desk;
    const named = (key, values) => values.map((value) => [value, WORDS.value(key, value)]);
    const words = WORDS.newLoad;
    this.form = new AddForm(desk, {
      asked: {
        kind: { label: words.kind, options: named("kind", Object.keys(BEGINNINGS)) },
        name: { label: words.name, hint: WORDS.newNameHint },
        line: { label: words.line, hint: WORDS.lineHint, keyboard: "numeric" },
        active: { label: words.active, options: named("active", ["low", "high"]) },
        mains: { label: words.mains, options: [[UNKNOWN, WORDS.mainsUnknown], ...named("mains", ["true", "false"])] },
      },
      act: WORDS.addLoad,
      home: ({ name }) => placeOf("loads", name),
      edits: (values) => [{ do: "add", at: placeOf("loads", values.name), value: tableOf(values) }],
      words: ({ name }) => WORDS.toldLoadAdded(name),
      added: ({ name }) => this.added(name, close),
    });
    this.beware = make("div", "", beware(true));
    this.element = make("div", "groups", make("p", "hint", WORDS.newHint), this.form.element);
    this.form.asked.after(this.beware);
    const { kind, mains, name, line } = this.form.fields;
    kind.control.addEventListener("change", () => this.suggest());
    mains.control.addEventListener("change", () => show(this.beware, mains.control.value !== "false"));
    for (const { control } of [name, line]) control.addEventListener("input", () => { control.isTyped = true; });
  }

  draw() {
    this.suggest();
  }

  /** Fills in what nobody has typed yet. */
  suggest() {
    const { kind, name, line } = this.form.fields;
    const { document: plan } = this.desk.draft;
    if (!name.control.isTyped) name.control.value = freeName(kind.control.value, plan.loads);
    if (!line.control.isTyped) line.control.value = String(freeLine(plan));
  }

  added(name, close) {
    for (const { control } of Object.values(this.form.fields)) control.isTyped = false;
    close();
    const card = document.querySelector(`[data-load="${CSS.escape(name)}"]`);
    card?.scrollIntoView({ block: "center" });
    card?.querySelector(".chip")?.focus({ preventScroll: true });
  }
}

function tableOf({ kind, line, active, mains }) {
  const { spans, ...rest } = BEGINNINGS[kind];
  return {
    kind, line: numberOr(line), active, ...(mains === UNKNOWN ? {} : { mains: mains === "true" }),
    when_stopped: "off", ...rest, spans,
  };
}
