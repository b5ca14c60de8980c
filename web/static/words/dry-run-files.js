/** The words of files that cannot be taken. */

import { sizeOf } from "/static/words/dry-run.js";

export const WORDS = {
  notText: (name) => `${name} is not a text file in UTF-8. Choose a file that ends in .toml.`,
  unreadable: (name) => `${name} cannot be read. Is it still there, and may this browser read it?`,
  planFileTooBig: (name, size, most) => `${name} has ${sizeOf(size)}; a plan has at most ${sizeOf(most)}. Is it a plan file?`,
  weatherTooBig: (name, size, most) => `${name} has ${sizeOf(size)}; up to ${sizeOf(most)} can be sent from here. Cut it to the days that you need, or run it on the controller: rootclock dry-run --weather.`,
  scriptTooBig: (name, size, most) => `${name} has ${sizeOf(size)}; a fault script has at most ${sizeOf(most)}.`,
};
