/** Parts of the view that nobody sees at first, and the style that they share. */

import { atFirstTouch, later } from "/static/later.js";

const PARTS = ["saving", "as_text", "difference"];
const STYLE = "/static/plan_more.css";

/** The module `plan/NAME.js`; throws a Problem where it cannot be fetched. */
export const planPart = (name) => later(`/static/plan/${name}.js`, STYLE);

/** From the first touch or key on, those are fetched that may be wanted next. */
export const fetchPartsAtFirstTouch = () => atFirstTouch(window, () => PARTS.map(planPart));
