/** What the plan's schema tells of the keys of its tables. */

const NUMBERS = new Set(["number", "integer"]);

/** A part of the schema, with what it refers to put in its place. */
export function schemaOf(schema, name, path = "") {
  const found = schema?.$defs?.[name] ?? {};
  if (!path) return found;
  const [key, ...rest] = path.split(".");
  const told = found.properties?.[key] ?? {};
  if (!told.$ref) return told;
  const target = told.$ref.split("/").pop();
  return rest.length ? schemaOf(schema, target, rest.join(".")) : schemaOf(schema, target);
}

/** The keys of a table that the schema knows. */
export const keysOf = (schema, name) => Object.keys(schemaOf(schema, name).properties ?? {});

/** Whether a table of the plan must have a key. */
export const isRequired = (schema, name, key) => schemaOf(schema, name).required?.includes(key) ?? false;

/** Whether what is told of a key is that it takes a number. */
export const isNumber = (told) => NUMBERS.has(told.type);

/** What a number may be: {least, most, isAbove}, the last where it must be above the least. Null where
 * the schema does not bound both ends. */
export function rangeOf(told) {
  const [least, most] = [told.minimum ?? told.exclusiveMinimum, told.maximum];
  if (!isNumber(told) || least === undefined || most === undefined) return null;
  return { least, most, isAbove: told.minimum === undefined };
}

/** A number where the text is one, as this locale may write it; else the text, for the plan's
 * reader to refuse in its own words. */
export function numberOr(text) {
  const plain = text.trim().replace(/^([^.]*),([^.]*)$/, "$1.$2").replace("−", "-");
  return plain !== "" && Number.isFinite(Number(plain)) ? Number(plain) : text.trim();
}

/** A key's value as the plan has it, of what was typed or chosen. */
export function valueOf(told, text) {
  if (told.type === "boolean") return text === "true";
  return isNumber(told) ? numberOr(text) : text;
}

/** The keyboard that a phone offers: digits alone where no number below 0 is meant. */
export const keyboardFor = (told) => (isNumber(told) && (rangeOf(told)?.least ?? -1) >= 0 ? "decimal" : "text");
