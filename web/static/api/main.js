/** The view of the API's description: read from the page's own program, drawn by the page itself. */

import { get, Problem } from "/static/api.js";
import { groupsOf, problemShape } from "/static/api/description.js";
import { routeItem } from "/static/api/route.js";
import { Schemas } from "/static/api/schema.js";
import { shapeParts } from "/static/api/shape.js";
import { byId, make, show, write } from "/static/dom.js";
import { raise } from "/static/frame/frame.js";
import { NAMES, WORDS } from "/static/words/api.js";

const PATH = "/openapi.json";
const ADDRESS = "/api/v1/openapi.json";
let isDrawn = false;
let isReading = false;
let load = null; // the name of one, for examples that can be sent as they are

/** Reads and draws it, unless that is done; where it fails, the next picture is a reason to try again. */
async function read() {
  if (isDrawn || isReading) return;
  isReading = true;
  try {
    const [description, session] = await Promise.all([get(PATH), get("/session")]);
    drawAll(description, session.needs_passcode);
    isDrawn = true;
    show(byId("unread"), false);
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    write(byId("unread"), WORDS.unread(problem.message));
    show(byId("unread"), true);
  } finally {
    isReading = false;
  }
}

function drawAll(description, isAsked) {
  const schemas = new Schemas(description);
  const home = location.origin;
  const groups = groupsOf(description);
  const place = () => ({ home, isAsked, named: load === null ? {} : { load } });
  drawBasics({ home, isAsked });
  byId("groups").replaceChildren(...groups.map(groupLink));
  byId("problem-shape").replaceChildren(...shapeParts(schemas, problemShape(description), { isTold: true }));
  byId("routes").replaceChildren(...groups.map((group) => groupPart(group, schemas, place)));
  openNamed();
  addEventListener("hashchange", openNamed);
}

function drawBasics(about) {
  const link = make("a", "alone", WORDS.machineText);
  link.href = ADDRESS;
  const rows = [...WORDS.basics(about), [WORDS.machine, link]];
  byId("basics").replaceChildren(...rows.flatMap(([name, told]) => [make("dt", "", name), make("dd", "", told)]));
}

const idOf = (name) => `group-${name.replaceAll(" ", "-")}`;

function groupLink({ name }) {
  const link = make("a", "chip", WORDS.group(name));
  link.href = `#${idOf(name)}`;
  return make("li", "", link);
}

function groupPart({ name, routes }, schemas, place) {
  const title = make("h2", "", WORDS.group(name));
  title.id = idOf(name);
  title.tabIndex = -1;
  const part = make("section", "group", title, ...routes.map((route) => routeItem(route, schemas, place)));
  part.setAttribute("aria-labelledby", title.id);
  return part;
}

/** What the address names is opened, brought into sight and given the focus. */
function openNamed() {
  const named = location.hash && byId(location.hash.slice(1));
  if (!named) return;
  if (named.matches("details")) named.open = true;
  named.scrollIntoView({ block: "start" });
  (named.matches("details") ? named.firstElementChild : named).focus();
}

raise({
  names: NAMES,
  needsPicture: false,
  draw: (live) => {
    load = live.status?.loads[0]?.name ?? null;
    read();
  },
  title: () => WORDS.title,
  leave: () => location.reload(), // the examples told of the loads
});
