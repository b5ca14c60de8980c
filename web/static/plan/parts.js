/** Parts of the view that nobody sees at first, and the style that they share. */

import { later } from "/static/later.js";

const PARTS = ["saving", "as_text", "difference", "meanwhile", "revisions"];
const STYLE = "/static/plan_more.css";

/** The module `plan/NAME.js`; throws a Problem where it cannot be fetched. */
export const planPart = (name) => later(`/static/plan/${name}.js`, STYLE);

/** Fetches all of them, in case that the connection is gone when one is wanted: a promise each. */
export const planParts = () => PARTS.map(planPart);
