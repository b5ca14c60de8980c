/** Texts compared and merged line by line. */

const CELLS_MAX = 4_000_000; // beyond it, what lies between the first and last change counts as one

/** What changed from one list of lines to another: blocks {from, to, lines}, in order: the lines
 * [from, to) of `before` give way to `lines`. */
export function changes(before, after) {
  let start = 0;
  while (start < before.length && start < after.length && before[start] === after[start]) start += 1;
  let tail = 0;
  const tailMax = Math.min(before.length, after.length) - start;
  while (tail < tailMax && before.at(-1 - tail) === after.at(-1 - tail)) tail += 1;
  const first = before.slice(start, before.length - tail);
  const second = after.slice(start, after.length - tail);
  if (!first.length && !second.length) return [];
  if (first.length * second.length > CELLS_MAX) {
    return [{ from: start, to: start + first.length, lines: second }];
  }
  return blocks(first, second, start);
}

/** How long a common subsequence is at most, of what is left at each pair of places. */
function commonLengths(first, second) {
  const width = second.length + 1;
  const lengths = new Uint16Array((first.length + 1) * width);
  for (let i = first.length - 1; i >= 0; i -= 1) {
    for (let j = second.length - 1; j >= 0; j -= 1) {
      lengths[i * width + j] = first[i] === second[j]
        ? lengths[(i + 1) * width + j + 1] + 1
        : Math.max(lengths[(i + 1) * width + j], lengths[i * width + j + 1]);
    }
  }
  return (i, j) => lengths[i * width + j];
}

function blocks(first, second, start) {
  const common = commonLengths(first, second);
  const found = [];
  let block = null;
  let [i, j] = [0, 0];
  while (i < first.length || j < second.length) {
    if (i < first.length && j < second.length && first[i] === second[j]) {
      block = null;
      i += 1;
      j += 1;
      continue;
    }
    if (block === null) {
      block = { from: start + i, to: start + i, lines: [] };
      found.push(block);
    }
    const isGone = j >= second.length || (i < first.length && common(i + 1, j) >= common(i, j + 1));
    if (isGone) {
      block.to += 1;
      i += 1;
    } else {
      block.lines.push(second[j]);
      j += 1;
    }
  }
  return found;
}

/** Lines of a text, without their ends. */
const linesOf = (text) => text.split("\n");

/** What changed, to be read: rows {sign, before, after, text}; sign is "-", "+", " " or, where
 * lines are left out, "…"; numbers count from 1, null where the line is in one text only. */
export function differenceRows(before, after, around = 2) {
  const [first, second] = [linesOf(before), linesOf(after)];
  const rows = [];
  let [at, shift] = [0, 0];
  const same = (from, to) => {
    for (let i = from; i < to; i += 1) {
      rows.push({ sign: " ", before: i + 1, after: i + 1 + shift, text: first[i] });
    }
    at = to;
  };
  for (const block of changes(first, second)) {
    const from = Math.max(at, block.from - around);
    same(at, Math.min(from, at + (rows.length ? around : 0)));
    if (from > at && rows.length) rows.push({ sign: "…", before: null, after: null, text: "" });
    same(from, block.from);
    for (let i = block.from; i < block.to; i += 1) {
      rows.push({ sign: "-", before: i + 1, after: null, text: first[i] });
    }
    block.lines.forEach((text, i) => {
      rows.push({ sign: "+", before: null, after: block.from + shift + i + 1, text });
    });
    at = block.to;
    shift += block.lines.length - (block.to - block.from);
  }
  if (rows.length) same(at, Math.min(first.length, at + around));
  return rows;
}

/** Puts what changed from `base` to `mine` onto `theirs`, which came from `base` too: {text,
 * clashes}. A clash, {base, mine, theirs} as lists of lines, is where both changed the same lines
 * in different ways; there the text has what `prefer` says, "mine" or "theirs". */
export function merge(base, mine, theirs, prefer) {
  const lines = linesOf(base);
  const all = [
    ...changes(lines, linesOf(mine)).map((block) => ({ ...block, side: "mine" })),
    ...changes(lines, linesOf(theirs)).map((block) => ({ ...block, side: "theirs" })),
  ].sort((a, b) => a.from - b.from || a.to - b.to);
  const merged = [];
  const clashes = [];
  let at = 0;
  for (const group of grouped(all)) {
    merged.push(...lines.slice(at, group.from));
    const versions = versionsOf(group, lines);
    const { mine: own, theirs: other } = versions;
    // As lists: joined, no line at all and an empty one would be the same.
    const isClash = own !== null && other !== null && JSON.stringify(own) !== JSON.stringify(other);
    if (isClash) clashes.push({ base: lines.slice(group.from, group.to), mine: own, theirs: other });
    merged.push(...(versions[prefer] ?? own ?? other));
    at = group.to;
  }
  merged.push(...lines.slice(at));
  return { text: merged.join("\n"), clashes };
}

/** Blocks that touch the same lines, or insert at the same place, belong together. */
function grouped(all) {
  const groups = [];
  for (const block of all) {
    const last = groups.at(-1);
    const isSamePlace = last && block.from === last.from && block.to === last.to;
    if (last && (block.from < last.to || isSamePlace)) {
      last.to = Math.max(last.to, block.to);
      last.blocks.push(block);
    } else {
      groups.push({ from: block.from, to: block.to, blocks: [block] });
    }
  }
  return groups;
}

/** A group's lines as each side has them; null for a side that left them alone. */
function versionsOf({ from, to, blocks: all }, lines) {
  const versionOf = (side) => {
    const own = all.filter((block) => block.side === side);
    if (!own.length) return null;
    const version = [];
    let at = from;
    for (const block of own) {
      version.push(...lines.slice(at, block.from), ...block.lines);
      at = block.to;
    }
    return [...version, ...lines.slice(at, to)];
  };
  return { mine: versionOf("mine"), theirs: versionOf("theirs") };
}
