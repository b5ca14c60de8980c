/** The words of the API's description. What each route does comes from the page's own program. */

import { capital } from "/static/words/sentences.js";

/** Names of parts that stand in the markup. */
export const NAMES = {
  title: "For programs: the API",
  about: "Whatever this page shows and orders, your own programs can read and order as well: JSON over HTTP.",
  groups: "What there is",
  reading: "Reading the description…",
  basics: "How to ask",
  problems: "When something goes wrong",
  problemsAbout: "The answer is problem details (RFC 9457, application/problem+json): type is an address that tells what that kind of problem means, detail is a sentence for people. Some kinds tell more than this:",
};

const GROUPS = {
  session: "Who is there",
  now: "What is, and orders",
  journal: "The journal",
  plan: "The plan",
  "on paper": "Tried on paper",
  problems: "Kinds of problems",
  probes: "For monitoring",
};
const KINDS = {
  string: "text", integer: "whole number", number: "number", boolean: "true or false",
  object: "object", array: "list", null: "null",
};
const several = (words) => words.join(" or ");

export const WORDS = {
  title: "API",
  unread: (why) => `The description cannot be read: ${why} Trying again by itself.`,
  group: (name) => GROUPS[name] ?? capital(name),

  // How to ask
  basics: ({ home, isAsked }) => [
    ["Address", `All addresses below begin with ${home}.`],
    ["Values", "Bodies are JSON in both directions. Keys that end in _utc are instants as in RFC 3339, keys that end in _s are seconds. More keys may come with time: pass over what you do not know."],
    ["Orders", "What is not GET must carry the header Origin with this page's own address, and a body must be application/json."],
    ["Passcode", isAsked
      ? "This page asks for its passcode: log in once by POST /api/v1/session, keep the cookie, and send it along. The examples keep it in cookies.txt."
      : "This page asks for no passcode. Where one is set: log in once by POST /api/v1/session, keep the cookie, and send it along."],
  ],
  machine: "For machines",
  machineText: "The same as OpenAPI",

  // A route
  parameters: "In the address",
  body: (type) => `Body, ${type}`,
  answer: (status, type) => (type ? `Answer ${status}, ${type}` : `Answer ${status}`),
  answers: { 304: "It is as it was: the answer to If-None-Match with the ETag of an earlier one." },
  noBody: "There is no body.",
  stream: "Events as they come; the connection stays open.",
  anyText: "Text, as that type has it.",
  problems: "Problems",
  problemsText: (statuses) => `${several(statuses)}: problem details.`,
  problemsMore: "What they look like",
  example: "Try it",
  changes: "Sent, it does at once what stands above.",
  copy: "Copy",
  copyName: (route) => `Copy the example of ${route}`,
  copied: "Copied.",
  selected: "It is selected: copy it with the keys or the menu of your device.",

  // A shape: what is said of its values
  needed: "needed",
  mayMiss: "may be missing",
  kind: (type) => KINDS[type] ?? type,
  anything: "anything",
  listOf: (inside) => `list of ${inside}`,
  shape: (name) => `object ${name}`,
  mapOf: (inside) => `object, by name, of ${inside}`,
  several,
  oneOf: (values) => (values.length === 1 ? `always ${values[0]}` : `one of ${values.join(", ")}`),
  format: (name) => `as ${name}`,
  range: (least, most) => {
    if (least === undefined) return `at most ${most}`;
    return most === undefined ? `at least ${least}` : `${least} to ${most}`;
  },
  length: (least, most) => {
    const [from, to] = [least > 0 && `at least ${least}`, most !== undefined && `at most ${most}`];
    return `${[from, to].filter(Boolean).join(", ")} characters`;
  },
  items: (most) => `at most ${most} of them`,
  without: (value) => `without it ${value}`,
  such: (values) => `such as ${values.join(" or ")}`,
  repeated: "once for each",
  asAbove: (name) => `${name}, as above`,
};
