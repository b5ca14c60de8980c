/** Lengths of time, as people read them. */

/** A length to the second, for what counts down: `14 min 32 s`. */
export function lengthExact(seconds) {
  const whole = Math.max(0, Math.ceil(seconds));
  if (whole < 60) return `${whole}\u00a0s`;
  if (whole < 3600) return `${Math.floor(whole / 60)}\u00a0min ${String(whole % 60).padStart(2, "0")}\u00a0s`;
  return lengthRound(whole);
}

/** A length for reading: `6 min`, `2 h 5 min`, `3 days`. */
export function lengthRound(seconds) {
  if (seconds < 59.5) return `${Math.max(0, Math.round(seconds))}\u00a0s`;
  if (seconds >= 172800) return `${Math.round(seconds / 86400)}\u00a0days`;
  const minutes = Math.round(seconds / 60);
  const hours = Math.floor(minutes / 60);
  if (!hours) return `${minutes}\u00a0min`;
  return minutes % 60 ? `${hours}\u00a0h ${minutes % 60}\u00a0min` : `${hours}\u00a0h`;
}
