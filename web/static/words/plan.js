/** The words of the view Plan as it first shows: what is edited, and the bar. */

/** Names of parts that stand in the markup. */
export const NAMES = {
  title: "Plan",
  reading: "Reading the plan…",
  preview: "What it would do",
  editor: "Sensors, loads and their day",
  previewComes: "Working out what it would do…",
  editorComes: "Fetching the form…",
  asText: "As text",
  revisions: "Earlier plans",
};

const lines = (count) => (count === 1 ? "1 line" : `${count} lines`);

export const WORDS = {
  title: "Plan",
  titleChanged: "Plan, not saved",

  // What was done, for undo
  stepKept: "what was left unsaved here",
  stepTyped: "typing in the text",
  stepDiscarded: "discarding the changes",
  stepOnTop: "putting the changes on top",
  stepInForce: "the plan that came into force",
  stepWindow: "what another window did",

  // Reading the plan
  unread: (why) => `The plan cannot be read: ${why} Trying again by itself.`,
  guestMayNot: "Guests may look. Log in to change the plan.",

  // What is edited
  editedInForce: (revision) => `Plan in force: revision ${revision}`,
  editedChanged: (revision) => `Changes to revision ${revision}, not saved yet`,
  since: (time) => `It runs since ${time}.`,
  nothingChanged: "Change what you like: nothing is switched differently before you save.",
  keptHere: "The changes stay in this browser until you save or discard them.",
  keptFrom: (time) => `You left these changes here on ${time}.`,
  notKept: "This browser keeps nothing for this page: save before you close it.",
  guest: "You may look at all of it. To change the plan, log in at the end of the page.",
  seeChanges: "See what changed",
  linesChanged: (gone, come) => `${lines(come)} added, ${lines(gone)} removed`,

  // The bar
  undo: "Undo",
  redo: "Redo",
  undoIt: (what) => `Undo: ${what}`,
  redoIt: (what) => `Redo: ${what}`,
  discard: "Discard",
  discardIt: "Discard all changes",
  discarded: "The changes are discarded. Undo brings them back.",
  save: "Save",

  // Saving
  notSaved: (why) => `Not saved: ${why}`,

  // Meanwhile
  meanwhileTold: (revision) => `Meanwhile somebody saved revision ${revision}. At the top of this page you choose how to go on.`,
  followed: (revision) => `Somebody saved the plan: you see revision ${revision}.`,

  // Parts that come after the first paint
  late: { editor: "The form", preview: "What it would do" },
  missing: (part, why) => `${part} could not be fetched: ${why} Trying again by itself. If it does not come, load the page anew: what you changed is kept.`,

  // Folded parts
  unfetched: (why) => `It could not be fetched: ${why} Close it and open it again.`,
};
