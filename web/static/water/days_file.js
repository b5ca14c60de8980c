/** A run's water day by day as CSV, one line for each day and stand; without a stand, one a day. */

const ENDS = ["low", "likely", "high"];
const RANGES = [["drunk_ml", "transpired_ml"], ["driest_share", "driest_share"], ["thirst_ml", "thirst_ml"]];
// The last two of a weather file of days alone.
const OF_THE_AIR = ["et0_mm", "et0_daily_mm", "et0_hargreaves_mm"];
const HEAD = [
  "date", ...OF_THE_AIR, "stand", ...RANGES.flatMap(([name]) => ENDS.map((end) => `${name}_${end}`)), "driest_utc",
];

/** The text of the file. `days` are those of `rootclock dry-run --json`. */
export function daysFile(days) {
  const rows = days.flatMap((day) => {
    const air = OF_THE_AIR.map((key) => day[key] ?? "");
    const told = Object.entries(day.stands);
    return (told.length ? told : [["", null]]).map(([name, its]) => [day.date, ...air, name, ...figuresOf(its)]);
  });
  // A name has letters, digits, - and _ alone: nothing needs quotes.
  return [HEAD, ...rows].map((row) => `${row.join(",")}\r\n`).join("");
}

function figuresOf(day) {
  const ranges = RANGES.flatMap(([, key]) => ENDS.map((end) => day?.[key]?.[end] ?? ""));
  return [...ranges, day?.driest_utc ?? ""];
}
