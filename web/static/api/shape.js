/** A shape drawn: its keys, what each is, and the objects within, below each other. */

import { make, prose } from "/static/dom.js";
import { WORDS } from "/static/words/api.js";
import { ended } from "/static/words/sentences.js";

/** Elements that tell what a schema describes. Of what is asked, keys that are needed are marked;
 * of what is told, those that may be missing (`isTold`). */
export function shapeParts(schemas, schema, { isTold }) {
  const drawing = new Drawing(schemas, { isTold });
  const own = schemas.resolved(schema).schema;
  const about = own.description ? [make("p", "hint", ...prose(ended(own.description)))] : [];
  if (own.properties) return [...about, ...drawing.objects(schema)];
  return [...about, make("p", "hint", schemas.aboutOf(schema).join("; ")), ...drawing.objects(schema)];
}

/** A list of parameters, as OpenAPI has them. */
export function parameterList(schemas, parameters) {
  const drawing = new Drawing(schemas, { isTold: false, isRepeated: true });
  return listOf(parameters.map(({ name, schema = {}, required = false, description }) =>
    drawing.field(name, { description, ...inAddress(schema) }, required)));
}

/** A parameter's schema without the null by which it says that it may be left out. */
function inAddress(schema) {
  const choices = schema.anyOf?.filter(({ type }) => type !== "null");
  return choices?.length === 1 ? { ...schema, anyOf: undefined, ...choices[0] } : schema;
}

function listOf(items) {
  const list = make("ul", "plain shape", ...items);
  list.setAttribute("role", "list");
  return list;
}

class Drawing {
  #drawn = new Set(); // the names of objects that stand above: they are only named again

  constructor(schemas, { isTold, isRepeated = false }) {
    Object.assign(this, { schemas, isTold, isRepeated });
  }

  /** The objects within a schema, each as a list of its keys. */
  objects(schema) {
    return this.schemas.objectsIn(schema).map((one) => this.object(one));
  }

  object({ name, schema: { properties, required = [] } }) {
    if (this.#drawn.has(name)) return make("p", "hint", WORDS.asAbove(name));
    if (name) this.#drawn.add(name);
    return listOf(Object.entries(properties).map(([key, value]) => this.field(key, value, required.includes(key))));
  }

  field(key, schema, isRequired) {
    const item = make("li", "", make("code", "key", key), " ");
    if (isRequired !== this.isTold) item.append(make("span", "mark", this.isTold ? WORDS.mayMiss : WORDS.needed), " ");
    item.append(make("span", "hint", this.schemas.aboutOf(schema, this).join("; ")));
    if (schema.description) item.append(make("p", "hint", ...prose(ended(schema.description))));
    item.append(...this.objects(schema));
    return item;
  }
}
