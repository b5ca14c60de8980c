/** A route as something to open: what it does stands in sight, all else is drawn when it is opened. */

import { curlOf } from "/static/api/curl.js";
import { parameterList, shapeParts } from "/static/api/shape.js";
import { button, make, prose, write } from "/static/dom.js";
import { WORDS } from "/static/words/api.js";
import { ended } from "/static/words/sentences.js";

const SAFE = "GET";
const EVENTS = "text/event-stream";

/** An element for a route of the description. `place()` gives what `curlOf` takes, at the time. */
export function routeItem(route, schemas, place) {
  const [first, ...more] = route.about;
  const name = `${route.method} ${route.path}`;
  const title = make("h3", "", make("span", `method is-${route.method.toLowerCase()}`, route.method), " ", make("code", "", route.path));
  const head = make("summary", "", title, make("span", "route-about", ...prose(ended(first))));
  const home = make("div", "route-home");
  const element = make("details", "panel route", head, home);
  element.id = route.id;
  element.addEventListener("toggle", () => {
    if (!element.open || home.firstChild) return;
    home.append(
      ...more.map((text) => make("p", "", ...prose(ended(text)))), ...askedParts(route, schemas),
      ...example(route, name, curlOf(route, schemas, place())), ...toldParts(route, schemas),
    );
  });
  return element;
}

function askedParts({ parameters, body }, schemas) {
  const parts = [];
  if (parameters.length) parts.push(make("h4", "", WORDS.parameters), parameterList(schemas, parameters));
  if (body === null) return parts;
  return [...parts, make("h4", "", WORDS.body(body.type)), ...shapeParts(schemas, body.schema, { isTold: false })];
}

function toldParts({ answers, problems }, schemas) {
  const parts = answers.flatMap((answer) => answerParts(answer, schemas));
  if (problems.length) {
    const link = make("a", "", WORDS.problemsMore);
    link.href = "#problems-title";
    parts.push(make("h4", "", WORDS.problems), make("p", "hint", WORDS.problemsText(problems), " ", link));
  }
  return parts;
}

function answerParts({ status, types }, schemas) {
  if (!types.length) {
    return [make("h4", "", WORDS.answer(status, "")), make("p", "hint", WORDS.answers[status] ?? WORDS.noBody)];
  }
  return types.flatMap(({ type, schema }) => {
    const title = make("h4", "", WORDS.answer(status, type));
    if (Object.keys(schema).length) return [title, ...shapeParts(schemas, schema, { isTold: true })];
    return [title, make("p", "hint", type === EVENTS ? WORDS.stream : WORDS.anyText)];
  });
}

function example({ method }, name, text) {
  const code = make("pre", "example", make("code", "", text));
  const told = make("span", "hint");
  told.setAttribute("role", "status");
  const copy = button("quiet", WORDS.copy, async () => write(told, (await copied(text, code)) ? WORDS.copied : WORDS.selected));
  copy.setAttribute("aria-label", WORDS.copyName(name));
  const remark = method === SAFE ? [] : [make("p", "hint", WORDS.changes)];
  return [make("h4", "", WORDS.example), ...remark, code, make("p", "copy", copy, " ", told)];
}

/** Copies a text; where the browser does not let a page that came over plain HTTP, selects it. */
async function copied(text, home) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    getSelection().selectAllChildren(home);
    return false;
  }
}
