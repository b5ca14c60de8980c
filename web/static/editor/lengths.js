/** Lengths of time as a plan writes them, and steps between round ones. All in seconds. */

const LENGTH = /^(?:(\d{1,4})h)?\s*(?:(\d{1,5})m)?\s*(?:(\d{1,6}(?:\.\d{1,3})?)s)?$/;
const STEPS = [[5, 1], [30, 5], [60, 15], [600, 60], [3600, 300], [10_800, 900], [Infinity, 1800]];
const LONGEST_S = 86_400;

/** The seconds of `1h30m`, `15m`, `90s`; null where it is no length. */
export function lengthOf(text) {
  const found = LENGTH.exec(text.trim());
  if (!found || !found.slice(1).some((part) => part !== undefined)) return null;
  const [hours, minutes, seconds] = found.slice(1).map((part) => Number(part ?? 0));
  return hours * 3600 + minutes * 60 + seconds;
}

/** `1h30m`, `15m`, `2.5s`: as a plan writes a length. */
export function lengthText(seconds) {
  const whole = Math.round(seconds * 1000);
  const [hours, minutes] = [Math.floor(whole / 3_600_000), Math.floor((whole % 3_600_000) / 60_000)];
  const rest = (whole % 60_000) / 1000;
  return (hours ? `${hours}h` : "") + (minutes ? `${minutes}m` : "") + (rest || !whole ? `${rest}s` : "")
    || "0s";
}

/** The next rounder length above (direction 1) or below (-1): finer steps for shorter lengths. */
export function lengthBeside(seconds, direction) {
  const isUp = direction > 0;
  const [, step] = STEPS.find(([end]) => (isUp ? seconds < end : seconds <= end));
  const next = isUp ? (Math.floor(seconds / step) + 1) * step : (Math.ceil(seconds / step) - 1) * step;
  return Math.max(1, Math.min(LONGEST_S, next));
}
