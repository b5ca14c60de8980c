/** A run's water day by day as CSV, one line for each day and stand; without a stand, one a day. */

const ENDS = ["low", "likely", "high"];
const RANGES = [["drunk_ml", "transpired_ml"], ["driest_share", "driest_share"], ["thirst_ml", "thirst_ml"]];
const HEAD = [
  "date", "et0_mm", "stand", ...RANGES.flatMap(([name]) => ENDS.map((end) => `${name}_${end}`)), "driest_utc",
];

/** The text of the file. `days` are those of `rootclock dry-run --json`. */
export function daysFile(days) {
  const rows = days.flatMap(({ date, et0_mm: et0, stands }) => {
    const told = Object.entries(stands);
    return (told.length ? told : [["", null]]).map(([name, day]) => [date, et0, name, ...figuresOf(day)]);
  });
  // A name has letters, digits, - and _ alone: nothing needs quotes.
  return [HEAD, ...rows].map((row) => `${row.join(",")}\r\n`).join("");
}

function figuresOf(day) {
  const ranges = RANGES.flatMap(([, key]) => ENDS.map((end) => day?.[key]?.[end] ?? ""));
  return [...ranges, day?.driest_utc ?? ""];
}
