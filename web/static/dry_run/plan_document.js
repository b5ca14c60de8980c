/** What of a plan, read as JSON, a dry run's form names; a half-made plan may hold anything. */

const isTable = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const tables = (value) => (isTable(value) ? Object.entries(value).filter(([, inner]) => isTable(inner)) : []);
const list = (value) => (Array.isArray(value) ? value.filter(isTable) : []);

/** {loads: [{name, kind, variants}], sensors: [{name, measures}]}. */
export function namesIn(document) {
  return {
    loads: tables(document?.loads).map(([name, load]) => ({
      name, kind: load.kind, variants: list(load.variants).map((variant) => String(variant.name)),
    })),
    sensors: tables(document?.sensors).map(([name, sensor]) => ({ name, measures: sensor.measures })),
  };
}

/** The site's time zone; UTC where the plan does not tell. */
export function zoneIn(document) {
  const zone = document?.site?.timezone;
  return typeof zone === "string" ? zone : "UTC";
}
