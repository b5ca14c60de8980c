/** What came of a dry run: findings first, then figures, the picture, what happened, files. */

import { make } from "/static/dom.js";
import { dateWords, daysAfter } from "/static/dry_run/dates.js";
import { findingsList } from "/static/dry_run/findings.js";
import { figuresOf } from "/static/dry_run/figures_table.js";
import { happenings } from "/static/dry_run/happenings.js";
import { Picture } from "/static/dry_run/picture.js";
import { countWords } from "/static/findings.js";
import { Problem } from "/static/api.js";
import { later } from "/static/later.js";
import { knownZone } from "/static/moments.js";
import { accountTable } from "/static/preview/account.js";
import { money } from "/static/preview/figures.js";
import { downloads } from "/static/dry_run/downloads.js";
import { RESULT } from "/static/words/dry-run-result.js";
import { ACCOUNT } from "/static/words/preview.js";
import { ended } from "/static/words/sentences.js";

const TABLES_MAX = 4; // loads, of which each is told in a table of its own

/** Draws an outcome, {told, about, body}, into `home`; `askEvents()` gives the events as CSV, or null
 * where that was ended. */
export function drawResult(home, { told, about }, askEvents) {
  const zone = knownZone(about.zone);
  const runs = [told, ...(told.compared ? [told.compared] : [])];
  const title = make("h2", "", RESULT.title);
  title.id = "result-title";
  title.tabIndex = -1;
  const parts = [
    make("div", "result-head", title, make("p", "", periodWords(about)), make("p", "hint", worldWords(told, about, zone))),
    findingsPart(runs, about.names),
  ];
  if (told.compared) parts.push(differences(told.compared, about.names));
  parts.push(accountPart(runs, about), ...waterPart(runs, zone));
  parts.push(new Picture(told.picture).element);
  parts.push(section(RESULT.detailsTitle, ...runs.flatMap((run, place) => details(run, { place, names: about.names, zone }))));
  parts.push(happenings(runs, about.names, zone));
  parts.push(downloads(told, about, askEvents));
  home.replaceChildren(...parts);
}

function section(title, ...inside) {
  return make("section", "panel part", make("h3", "", title), ...inside);
}

function periodWords({ names, from, days }) {
  return RESULT.period(names, dateWords(from), dateWords(daysAfter(from, days - 1)), days);
}

function worldWords(told, about, zone) {
  return [
    RESULT.air(told.air), about.hasFaults ? RESULT.withFaults : RESULT.withoutFaults, RESULT.zone(zone),
  ].join(" ");
}

function findingsPart(runs, names) {
  const part = section(RESULT.findingsTitle);
  const columns = make("div", runs.length > 1 ? "two-plans" : "");
  runs.forEach(({ findings }, place) => {
    const column = make("div", "");
    if (runs.length > 1) column.append(make("h4", "", RESULT.numbered(place + 1, names[place])));
    column.append(verdict(findings));
    if (findings.length) column.append(findingsList(findings));
    columns.append(column);
  });
  part.append(columns);
  return part;
}

/** In a few words whether the plan did what it is to do. */
function verdict(findings) {
  const has = (wanted) => findings.some(({ level }) => level === wanted);
  const counts = countWords(findings);
  if (has("error")) return make("p", "verdict is-bad", ended(counts));
  if (has("warning")) return make("p", "verdict is-warned", RESULT.warned(counts));
  return make("p", "verdict", findings.length ? RESULT.noted(counts) : RESULT.nothingToReport);
}

/** What differs in what loads do, and then in what comes of it for roots, pumps and reservoirs. */
function differences(compared, names) {
  const list = make("dl", "differences");
  const add = (title, { words }) => list.append(make("dt", "", title), make("dd", "", RESULT.difference(words)));
  for (const [load, told] of Object.entries(compared.differences)) add(load, told);
  for (const [kind, parts] of Object.entries(compared.water_differences ?? {})) {
    for (const [name, told] of Object.entries(parts)) add(RESULT.partOf[kind](name), told);
  }
  return section(RESULT.differencesTitle(names[1]), list);
}

function details(run, { place, names, zone }) {
  const isAlone = names.length === 1;
  const name = RESULT.numbered(place + 1, names[place]);
  return [
    ...(isAlone ? [] : [make("h4", "", name)]),
    figuresOf(run.loads, isAlone ? RESULT.detailsTitle : RESULT.detailsOf(name), { zone }),
    make("p", "hint", RESULT.watts(run.watts_max, Date.parse(run.watts_max_at_utc), zone)),
  ];
}

/** The command line's account by load has names as keys. */
const asList = ({ loads }) => ({ loads: Object.entries(loads).map(([name, load]) => ({ name, ...load })) });

/** How the costs of runs are told, by what each one's plan says of prices: {price, remark}. They are what
 * the program has added up, so that they are those of its sentences and files. */
function costsBy(prices) {
  const told = prices.filter((price) => price !== null);
  if (!told.length) return { price: null, remark: "" };
  const [{ perKwh, currency }] = told;
  if (told.some((price) => price.currency !== currency)) return { price: null, remark: ACCOUNT.currencies };
  const price = { perKwh: null, currency };
  if (prices.length === 1 && perKwh === null) return { price, remark: RESULT.tariff };
  const isOne = perKwh !== null && prices.every((one) => one?.perKwh === perKwh);
  return { price, remark: isOne ? RESULT.price(money(perKwh, currency)) : RESULT.ownPrices };
}

function accountPart(runs, { names, prices }) {
  const [first, second = null] = runs.map(asList);
  const { price, remark } = costsBy(prices);
  const home = make("div", second === null ? "account-home is-alone" : "account-home");
  const part = section(RESULT.accountTitle);
  if (second !== null) part.append(make("p", "hint", RESULT.bothWays(...names)));
  if (second === null && first.loads.length > TABLES_MAX) home.append(figuresOf(runs[0].loads, RESULT.accountTitle, { price }));
  else accountTable(home, first, second, { price, level: 4, isWhole: first.loads.length <= TABLES_MAX });
  part.append(home);
  const count = Math.max(...runs.map((run) => Object.keys(run.loads).length));
  const kwh = runs.map((run) => Object.values(run.loads).reduce((sum, load) => sum + (load.energy_kwh ?? 0), 0));
  if (count > 1) part.append(make("p", "hint", RESULT.energy(kwh)));
  if (remark) part.append(make("p", "hint", remark));
  return part;
}

const KINDS = ["stands", "lifts", "reservoirs"];

/** What the runs did to water, where they tell of any. */
function waterPart(runs, zone) {
  if (!runs.some((run) => KINDS.some((kind) => Object.keys(run[kind] ?? {}).length > 0))) return [];
  const home = make("div");
  drawWater(home, runs, zone);
  return [section(RESULT.waterTitle, home)];
}

async function drawWater(home, runs, zone) {
  try {
    const { drawRunWater } = await later("/static/water/run_water.js", "/static/water/water.css");
    drawRunWater(home, runs, zone);
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    home.append(make("p", "problem", RESULT.waterUnfetched(problem.message)));
  }
}
