/** A request as one types it: a line for curl, in a POSIX shell. */

const COOKIES = "cookies.txt";
const JSON_TYPE = "application/json";

/** The command that asks a route. `home` is the page's own address, such as http://board:8080;
 * `named` gives values for parameters and keys by their name, such as a load of this garden;
 * `isAsked`: the page wants its passcode, so the cookie is sent along. */
export function curlOf(route, schemas, { home, named = {}, isAsked = false }) {
  const words = ["curl"];
  if (route.method !== "GET") words.push("-X", route.method, "-H", `Origin: ${home}`);
  if (isAsked) words.push(isLogin(route) ? "-c" : "-b", COOKIES);
  if (isStream(route)) words.push("-N"); // shows each event as it comes
  if (route.body !== null) {
    const body = schemas.exampleOf(route.body.schema);
    const given = Object.fromEntries(Object.entries(body).map(([key, value]) => [key, named[key] ?? value]));
    words.push("-H", `Content-Type: ${JSON_TYPE}`, "-d", JSON.stringify(given));
  }
  words.push(home + addressOf(route, schemas, named));
  return words.map(quoted).join(" ");
}

/** Whether an answer goes on for ever. */
const isStream = ({ answers }) =>
  answers.some(({ types }) => types.some(({ type }) => type === "text/event-stream"));

const isLogin = ({ method, path }) => method === "POST" && path.endsWith("/session");

function addressOf({ path, parameters }, schemas, named) {
  const value = ({ name, schema }) => String(named[name] ?? schemas.exampleOf(schema ?? {}, name));
  const inPath = new Map(parameters.filter((one) => one.in === "path").map((one) => [one.name, value(one)]));
  const whole = path.replaceAll(/\{(\w+)\}/g, (_, name) => encodeURIComponent(inPath.get(name) ?? name));
  const asked = parameters.filter((one) => one.in === "query" && one.required);
  if (!asked.length) return whole;
  return `${whole}?${new URLSearchParams(asked.map((one) => [one.name, value(one)]))}`;
}

/** A word as a POSIX shell takes it whole. */
const quoted = (word) => (/^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`);
