/** Which of the journal's entries tell of something wrong. */

const WRONG = new Set([
  "alarm", "entries lost", "plan refused", "clock not trusted", "power lost", "request refused",
  "mistake of the controller",
]);

/** Whether an entry tells of something wrong: it is marked in shape and colour, and says so. */
export const isWrong = (entry) => WRONG.has(entry.what);
