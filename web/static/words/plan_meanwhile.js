/** Another plan came into force while one was edited. */

export const WORDS = {
  step: "taking the plan in force",
  meanwhileTitle: (revision) => `Meanwhile revision ${revision} came into force`,
  meanwhileText: (revision) => `What you edit was made from revision ${revision}. Nothing of yours is lost: choose how to go on.`,
  theirChanges: "What the new revision changed",
  yourChanges: "What you changed",
  fitsTogether: "Both fit together: they touch different lines.",
  clashes: (count) => (count === 1 ? "At one place both changed the same lines:" : `At ${count} places both changed the same lines:`),
  clashBase: "Before",
  clashMine: "Yours",
  clashTheirs: "The new revision",
  clashNothing: "(nothing)",
  onTop: "Put my changes on top of it",
  onTopMine: "Put mine on top, and mine where both changed",
  onTopTheirs: "Put mine on top, but theirs where both changed",
  takeTheirs: "Take the new revision, drop mine",
  keepEditing: "Keep editing, decide later",
  decide: "Decide",
  onTopDone: "Your changes stand on top of the new revision. Look at the preview, then save; or undo.",
  theirsTaken: "You see the new revision. Undo brings your own changes back.",
};
