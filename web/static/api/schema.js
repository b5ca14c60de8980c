/** JSON Schema, as far as OpenAPI describes this API with it, in words. */

import { WORDS } from "/static/words/api.js";

const REF = "#/components/schemas/";

/** The schemas that others refer to. */
export class Schemas {
  constructor(description) {
    this.named = description.components?.schemas ?? {};
  }

  /** What a schema is: itself, or what it refers to. `name` is "" where it has none. */
  resolved(schema) {
    const name = schema.$ref?.startsWith(REF) ? schema.$ref.slice(REF.length) : "";
    return { name, schema: name ? this.named[name] ?? {} : schema };
  }

  /** The objects within a schema, as what may stand there, in a list or not: [{name, schema}]. */
  objectsIn(schema) {
    const { name, schema: own } = this.resolved(schema);
    if (own.properties) return [{ name, schema: own }];
    const inside = own.anyOf ?? own.oneOf ?? own.prefixItems ?? [own.items, own.additionalProperties];
    return inside.filter((one) => typeof one === "object" && one !== null).flatMap((one) => this.objectsIn(one));
  }

  /** What a value is, in a few words: `list of whole number`, `text or null`. */
  kindOf(schema) {
    const { name, schema: own } = this.resolved(schema);
    const choices = own.anyOf ?? own.oneOf;
    if (choices) return WORDS.several([...new Set(choices.map((one) => this.kindOf(one)))]);
    if (own.enum) return WORDS.oneOf(own.enum.map(valueText));
    if ("const" in own) return WORDS.oneOf([valueText(own.const)]);
    if (own.prefixItems) return WORDS.listOf(own.prefixItems.map((one) => this.kindOf(one)).join(", "));
    if (own.type === "array") return WORDS.listOf(this.kindOf(own.items ?? {}));
    if (own.properties && name) return WORDS.shape(name);
    if (typeof own.additionalProperties === "object") return WORDS.mapOf(this.kindOf(own.additionalProperties));
    return own.type === undefined ? WORDS.anything : WORDS.kind(own.type);
  }

  /** All that is said of a value: its kind, bounds, what it is if left out, examples. In an address,
   * a list `isRepeated`. */
  aboutOf(schema, { isRepeated = false } = {}) {
    const { schema: own } = this.resolved(schema);
    const choices = [own, ...(own.anyOf ?? own.oneOf ?? []).map((one) => this.resolved(one).schema)];
    const said = choices.flatMap(boundsOf);
    const without = schema.default ?? own.default;
    if (without !== undefined && without !== null) said.push(WORDS.without(valueText(without)));
    const examples = schema.examples ?? own.examples;
    if (examples?.length) said.push(WORDS.such(examples.map(valueText)));
    if (isRepeated && own.type === "array") said.push(WORDS.repeated);
    return [this.kindOf(schema), ...said];
  }

  /** A value that fits, to show how one is written; `name` is its key, or "". */
  exampleOf(schema, name = "") {
    const { schema: own } = this.resolved(schema);
    const [given] = schema.examples ?? own.examples ?? own.enum ?? [];
    if (given !== undefined) return given;
    if ("const" in own) return own.const;
    if (own.anyOf ?? own.oneOf) return this.exampleOf((own.anyOf ?? own.oneOf)[0], name);
    if (own.properties) return this.exampleObject(own);
    const plain = {
      array: () => [this.exampleOf(own.items ?? {}, name)],
      object: () => ({}),
      boolean: () => true,
      integer: () => own.minimum ?? 1,
      number: () => own.minimum ?? 1,
    }[own.type];
    return plain ? plain() : name.toUpperCase();
  }

  /** Only what is needed, or where nothing is, all. */
  exampleObject({ properties, required = [] }) {
    const names = required.length ? required : Object.keys(properties);
    return Object.fromEntries(names.map((name) => [name, this.exampleOf(properties[name], name)]));
  }
}

function boundsOf({ minimum, maximum, minLength, maxLength, maxItems, format }) {
  const said = [];
  if (format !== undefined) said.push(WORDS.format(format));
  if (minimum !== undefined || maximum !== undefined) said.push(WORDS.range(minimum, maximum));
  if (minLength > 0 || maxLength !== undefined) said.push(WORDS.length(minLength, maxLength));
  if (maxItems !== undefined) said.push(WORDS.items(maxItems));
  return said;
}

/** A value as it is written in JSON. */
const valueText = (value) => JSON.stringify(value);
