/** A fault script: its text from what a form has, and back. A fault is {kind, and its fields as
 * text}; see the kinds below for which they are. */

/** The kinds of fault and the fields of each, with how each is written. */
export const KINDS = {
  power_out: ["from", "until", "clock_unknown_for"],
  pump_fails: ["load", "from", "until"],
  sensor_reads: ["sensor", "value", "from", "until"],
  sensor_silent: ["sensor", "from", "until"],
  sensor_stuck: ["sensor", "from", "until"],
  clock_wrong: ["by", "from", "until"],
  clock_untrusted: ["from", "until"],
  hold: ["load", "order", "for", "at"],
  release: ["load", "at"],
  stop: ["at"],
  resume: ["at"],
  acknowledge: ["at"],
};

/** The fields that are a moment. */
export const MOMENTS = new Set(["from", "until", "at"]);

/** The script as TOML; fields that are empty are left out, and then told as missing. */
export function scriptText(faults) {
  return faults.map((fault) => {
    const lines = ["[[faults]]", `kind = ${quoted(fault.kind)}`];
    for (const key of KINDS[fault.kind]) {
      const value = (fault[key] ?? "").trim();
      if (value) lines.push(`${key} = ${key === "value" ? numberOr(value) : quoted(value)}`);
    }
    return `${lines.join("\n")}\n`;
  }).join("\n");
}

/** JSON's strings are TOML's, but for the character DEL. */
const quoted = (text) => JSON.stringify(text).replaceAll("\u007f", "\\u007f");

/** A number as it stands; anything else in quotes, so that the mistake is told and not hidden. */
function numberOr(text) {
  const value = Number(text.replace(",", "."));
  return Number.isFinite(value) ? String(value) : quoted(text);
}

/** The faults of a script that was read, for a form; null where a form cannot show all of it. */
export function faultsOf(document) {
  const keys = Object.keys(document ?? {});
  if (document === null || keys.some((key) => key !== "faults")) return null;
  const faults = document.faults ?? [];
  if (!Array.isArray(faults)) return null;
  const read = faults.map(faultOf);
  return read.includes(null) ? null : read;
}

function faultOf(table) {
  const fields = Object.hasOwn(KINDS, table?.kind) ? KINDS[table.kind] : null;
  if (fields === null) return null;
  const fault = { kind: table.kind };
  for (const [key, value] of Object.entries(table)) {
    if (key === "kind") continue;
    if (!fields.includes(key) || !["string", "number"].includes(typeof value)) return null;
    fault[key] = MOMENTS.has(key) ? momentText(String(value)) : String(value);
  }
  return fault;
}

/** A local moment as a form's field has it, `2026-07-01T13:00`; one with a zone as it was written. */
function momentText(text) {
  const local = /^(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2})(:\d{2})?(\.\d+)?$/.exec(text);
  if (local === null || local[4]) return text;
  const seconds = local[3] === ":00" ? "" : (local[3] ?? "");
  return `${local[1]}T${local[2]}${seconds}`;
}

/** Whether a form's field for local moments can show it. */
export const isLocalMoment = (text) => text === "" || /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?$/.test(text);

/** Which fault and field a complaint is about: {number, key}; number null where it is the script. */
export function placeOf(where) {
  const found = /^faults\.(\d+)(?:\.([a-z_]+))?/.exec(where);
  return { number: found ? Number(found[1]) : null, key: found?.[2] ?? "" };
}

/** Whether a fault is over before a run begins, or begins after it; dates as `2026-07-01`. */
export function isOutside(fault, first, last) {
  const [begin, end] = momentsOf(fault);
  if (!begin || !end) return false;
  return end.slice(0, 10) < first || begin.slice(0, 10) > last;
}

const momentsOf = (fault) =>
  (KINDS[fault.kind].includes("at") ? [fault.at, fault.at] : [fault.from, fault.until]);
