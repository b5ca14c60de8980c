/** Which entries are shown: fields and chips, and the filters that they stand for. */

import { button, byId, make, show } from "/static/dom.js";
import { queryOf } from "/static/journal/address.js";
import { WORDS } from "/static/words/journal.js";

const SOON_MS = 300; // after the last letter
const EMPTY = { load: "", find: "", since: "", until: "", only: [] };
let filters = { ...EMPTY };
let names = [];
let onChange = () => {};
let timer = 0;
let clear = null; // the button
const chips = new Map();

/** Builds the bar; `changed()` is called when other entries are wanted. */
export function beginFilters(first, changed) {
  filters = { ...EMPTY, ...first };
  onChange = changed;
  for (const [kind, name] of Object.entries(WORDS.kinds)) {
    const chip = button("chip", name, () => toggle(kind));
    chips.set(kind, chip);
    byId("filter-kinds").append(chip);
  }
  byId("filters").addEventListener("submit", (event) => {
    event.preventDefault();
    change({ find: byId("filter-find").value });
  });
  byId("filter-load").addEventListener("change", () => change({ load: byId("filter-load").value }));
  byId("filter-find").addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(() => change({ find: byId("filter-find").value }), SOON_MS);
  });
  for (const name of ["since", "until"]) {
    const field = byId(`filter-${name}`);
    field.addEventListener("change", () => change({ [name]: field.value }));
  }
  byId("filter-times").open = Boolean(filters.since || filters.until);
  clear = button("quiet", WORDS.clear, () => {
    setFilters(EMPTY);
    byId("filter-load").focus(); // the button goes
  });
  byId("filter-buttons").append(
    clear, make("span", "", WORDS.save), link("csv", WORDS.csv), link("jsonl", WORDS.jsonl),
  );
  drawFilters();
}

/** The filters in force. */
export const filtersNow = () => filters;

/** Other filters, set from elsewhere. */
export function setFilters(wanted) {
  clearTimeout(timer);
  filters = { ...EMPTY, ...wanted };
  if (filters.since || filters.until) byId("filter-times").open = true;
  drawFilters();
  onChange();
}

/** Offers those loads and sensors; one that is filtered for is offered in any case. */
export function offerNames(wanted) {
  const all = [...wanted];
  if (filters.load && !all.includes(filters.load)) all.push(filters.load);
  if (all.join("\n") === names.join("\n") && byId("filter-load").options.length) return;
  names = all;
  const options = [["", WORDS.allLoads], ...names.map((name) => [name, name])];
  byId("filter-load").replaceChildren(...options.map(([value, text]) => new Option(text, value)));
  byId("filter-load").value = filters.load;
}

function toggle(kind) {
  const only = filters.only.includes(kind)
    ? filters.only.filter((one) => one !== kind)
    : [...filters.only, kind];
  change({ only });
}

function change(part) {
  clearTimeout(timer);
  const wanted = { ...filters, ...part };
  if (queryOf(wanted).toString() === queryOf(filters).toString()) return;
  filters = wanted;
  drawFilters();
  onChange();
}

function drawFilters() {
  offerNames(names);
  byId("filter-load").value = filters.load;
  const shown = {
    find: filters.find, since: moment(filters.since, "00:00"), until: moment(filters.until, "23:59"),
  };
  for (const [name, value] of Object.entries(shown)) {
    const field = byId(`filter-${name}`);
    if (field !== document.activeElement && field.value !== value) field.value = value;
  }
  for (const [kind, chip] of chips) chip.setAttribute("aria-pressed", String(filters.only.includes(kind)));
  const query = queryOf(filters).toString();
  show(clear, query !== "");
  for (const suffix of ["csv", "jsonl"]) {
    byId(`save-${suffix}`).href = `/api/v1/log.${suffix}${query ? `?${query}` : ""}`;
  }
}

/** A date alone, as a field with a time shows it. */
const moment = (text, time) => (text.length === 10 ? `${text}T${time}` : text);

function link(suffix, text) {
  const element = make("a", "button", text);
  element.id = `save-${suffix}`;
  element.download = `journal.${suffix}`;
  return element;
}
