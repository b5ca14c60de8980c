/** The API's own description (OpenAPI 3.1) as groups of routes. */

const METHODS = ["get", "post", "put", "patch", "delete"];
const PLACES = new Set(["path", "query"]);

/** [{name, routes}], in the order of the description. A route is {id, method, path, about,
 * parameters, body, answers, problems}:
 *
 * - `about`: paragraphs; `parameters`: as OpenAPI has them; `body`: {type, schema} or null;
 * - `answers`: [{status, types: [{type, schema}]}], those of success; `problems`: the statuses
 *   of others. */
export function groupsOf(description) {
  const groups = new Map();
  for (const [path, item] of Object.entries(description.paths)) {
    for (const method of METHODS) {
      if (!(method in item)) continue;
      const route = routeOf(path, method, item[method]);
      const [name] = item[method].tags ?? [""];
      if (!groups.has(name)) groups.set(name, { name, routes: [] });
      groups.get(name).routes.push(route);
    }
  }
  return [...groups.values()];
}

function routeOf(path, method, told) {
  const answers = Object.entries(told.responses ?? {});
  const isProblem = ([status]) => /^[45]/.test(status);
  return {
    id: `${method}${path.replaceAll(/[^a-z0-9]+/gi, "-").replace(/-$/, "")}`,
    method: method.toUpperCase(),
    path,
    about: (told.description ?? told.summary ?? "").split(/\n{2,}/).map((part) => part.replaceAll("\n", " ")),
    parameters: (told.parameters ?? []).filter((one) => PLACES.has(one.in)),
    body: contentOf(told.requestBody)[0] ?? null,
    answers: answers.filter((one) => !isProblem(one)).map(([status, answer]) => ({ status, types: contentOf(answer) })),
    problems: answers.filter(isProblem).map(([status]) => status).sort(),
  };
}

const contentOf = (told) =>
  Object.entries(told?.content ?? {}).map(([type, { schema }]) => ({ type, schema: schema ?? {} }));

/** What problem details have, from the first route that may answer with one: a schema. */
export function problemShape(description) {
  for (const item of Object.values(description.paths)) {
    for (const { responses } of Object.values(item)) {
      const told = responses?.["4XX"]?.content?.["application/problem+json"];
      if (told) return { properties: told.schema.properties, required: told.schema.required };
    }
  }
  return { properties: {} };
}
