/** The plan as text, and what is found in it. */

import { GRADES } from "/static/words/findings.js";

export const WORDS = {
  stepFile: (name) => `reading ${name}`,
  errorsText: (count) => (count === 1 ? "One thing is wrong:" : `${count} things are wrong:`),
  textLabel: "The plan as TOML",
  textHint: "The same plan as a file has it. Comments stay. Tab goes on to the next control.",
  textFine: "Nothing to find fault with.",
  textJudging: "Checking…",
  textUnjudged: "Not checked: nobody answers.",
  download: "Download",
  upload: "Read a file…",
  fileName: (revision, isChanged) => `plan-${revision}${isChanged ? "-changed" : ""}.toml`,
  fileTooBig: (name, most) => `${name} is too big: a plan has at most ${most}\u00a0kB.`,
  fileNoText: (name) => `${name} is not UTF-8 text: save it as UTF-8 and read it again.`,
  fileUnread: (name) => `${name} could not be read.`,
  fileRead: (name) => `${name} stands in the text. Nothing is saved yet; undo takes it back.`,
  mark: "! ",
  level: GRADES,
  toLine: (line) => `Go to line ${line}`,
};
