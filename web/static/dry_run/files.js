/** Files that a visitor chooses, as the program takes them. */

import { WORDS } from "/static/words/dry-run-files.js";

const TOO_BIG = { plan: WORDS.planFileTooBig, script: WORDS.scriptTooBig };
const PIECE = 32_768; // as many arguments as any browser passes at once

/** A file with a `plan` or a `script` as {name, size, text}.
 *
 * Throws an Error with a sentence where it is too big, or no text in UTF-8. */
export async function textFileOf(file, bytesMax, what) {
  const data = await bytesOf(file, bytesMax, TOO_BIG[what]);
  try {
    return { name: nameOf(file), size: file.size, text: utf8(data) };
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    throw new Error(WORDS.notText(file.name));
  }
}

/** A weather file as {name, size, text, encoding}: its very bytes can be had back from them, since
 * many such files are Latin-1, and the program tells what they are if they are no text.
 *
 * Throws an Error with a sentence where it is too big or cannot be read. */
export async function weatherFileOf(file, bytesMax) {
  const data = await bytesOf(file, bytesMax, WORDS.weatherTooBig);
  const told = { name: nameOf(file), size: file.size };
  try {
    return { ...told, text: utf8(data), encoding: "utf-8" };
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    return { ...told, text: latin1(data), encoding: "latin-1" };
  }
}

const nameOf = (file) => file.name.slice(0, 200);

async function bytesOf(file, bytesMax, tooBig) {
  if (file.size > bytesMax) throw new Error(tooBig(file.name, file.size, bytesMax));
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch {
    throw new Error(WORDS.unreadable(file.name)); // gone, or not ours to read: browsers say no more
  }
}

const utf8 = (data) => new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(data);

/** Each byte as the character of that number; TextDecoder's latin1 is Windows-1252. */
function latin1(data) {
  const pieces = [];
  for (let at = 0; at < data.length; at += PIECE) {
    pieces.push(String.fromCharCode(...data.subarray(at, at + PIECE)));
  }
  return pieces.join("");
}
