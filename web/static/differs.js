/** Where a load was not as its plan ordered, several times in a row for one reason told as one. */

/** Groups of what an answer calls `differs`: `{from_s, to_s, ordered, why, count}`. */
export function grouped(differs) {
  const groups = [];
  for (const one of differs) {
    const last = groups.at(-1);
    if (last && last.ordered === one.ordered && last.why === one.why) {
      last.to_s = one.to_s;
      last.count += 1;
    } else {
      groups.push({ ...one, count: 1 });
    }
  }
  return groups;
}
