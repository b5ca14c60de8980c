/** The words around every view. What the controller tells (sentences, what to do about an alarm,
 * why it refuses) comes from it in words and stands in no catalogue. */

import { sentence } from "/static/words/sentences.js";

/** Names of parts that stand in the markup of every view. */
export const NAMES = {
  skip: "To the content",
  views: "Views",
  notices: "Notices",
  connection: "Connection",
  orders: "Orders",
  viewNow: "Now",
  viewPlan: "Plan",
  viewDryRun: "Dry run",
  viewJournal: "Journal",
  waiting: "Asking the controller…",
  undo: "Undo",
  close: "Close",
};

export const WORDS = {
  // Connection
  live: "Live",
  connectionBack: "Connected again.",
  pageLost: "No connection to the machine that this page comes from.",
  controllerLost: "The controller does not answer.",
  mayGoOn: "It may well be watering all the same: go and look.",
  pictureIs: (age, at) => `This picture is ${age} old, from ${at}. Trying again by itself.`,
  reason: (why) => `The page's own program says: ${sentence(why)}`,
  noPicture: "There is no picture yet. Trying again by itself.",

  // Loud
  mock: "Mock relays: nothing real is switched.",
  rehearsal: (speed) => `Rehearsal: time runs ${speed} times as fast as life.`,
  stoppedBanner: "Everything is stopped. Nothing is watered until you resume.",
  stoppedMains: "Stopped is not unplugged.",
  clockBanner: "The controller does not trust its clock, so loads run on elapsed time.",
  vouch: "Look at the clock",
  vouchTitle: "Is the controller's clock right?",
  vouchText: (site, own) => `It shows ${site}. This device shows ${own} for the same place. If you vouch for it, the plan goes on by that clock.`,
  vouchYes: "Yes, it is right",
  vouchNo: "No, leave it",
  vouched: "The controller trusts its clock again.",

  // Stop and resume
  stop: "Stop everything",
  stopHint: "press and hold for a second",
  stopPressing: "Keep pressing…",
  stopTitle: "Stop everything?",
  stopText: "Pumps, lamps and all else go off and stay so until somebody resumes. Roots dry out meanwhile.",
  stopYes: "Stop everything now",
  stopNo: "Let it run",
  stopFailed: (why) => `The stop did not arrive: ${why} If it cannot wait, pull the plugs with dry hands.`,
  resume: "Resume",
  resumeTitle: "Resume the watering?",
  resumeText: "Pumps and lamps may start at once. Are all hands and tools out of the water, and are all covers closed?",
  resumeMains: "Relays may switch mains: nobody may touch what is plugged in.",
  allCautions: "All cautions",
  resumeYes: "Resume now",
  resumeNo: "Stay stopped",
  resumeSent: "Resumed: loads follow the plan again.",

  // Logging in
  loginTitle: "Log in",
  loginText: "Whoever set up this page knows its passcode.",
  loginLabel: "Passcode",
  login: "Log in",
  logout: "Log out",
  back: "Back",
  guest: "You may look. To order anything, log in.",

  // Problems
  unreachable: "no connection.",
  strange: (status) => `it answered with ${status}.`,
  failed: (why) => `That did not work: ${why}`,

  titleLost: "no connection",
};
