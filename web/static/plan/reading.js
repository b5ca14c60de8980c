/** What the page's program tells of plans, as a draft needs it. */

import { get, post, Problem } from "/static/api.js";

/** The schema, or null: it names and explains fields, and all works without. */
export async function readSchema() {
  try {
    return await get("/plan/schema");
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    return null;
  }
}

/** A text with its findings, and as JSON; `document` is what stands for it where it is no TOML. */
export async function stateOf(text, base, words, document = null) {
  const state = { text, document, findings: [], isFit: false, isJudged: false, base, words };
  try {
    const read = await post("/plan/edit", { text, edits: [] });
    return { ...state, ...read, text, isFit: true, isJudged: true };
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
    if (!problem.more.findings) return state; // nobody answers: the preview will judge it
    return { ...state, findings: problem.more.findings, isJudged: true };
  }
}
