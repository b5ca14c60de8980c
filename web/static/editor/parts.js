/** Parts of the form that nobody sees at first, and the style that they share. */

import { later } from "/static/later.js";

const PARTS = ["piece", "load_settings", "new_load", "new_variant", "variant_settings", "rest"];
const STYLE = "/static/editor/more.css";

/** The module `editor/NAME.js`; throws a Problem where it cannot be fetched. */
export const formPart = (name) => later(`/static/editor/${name}.js`, STYLE);

/** Fetches all of them, in case that the connection is gone when one is wanted: a promise each. */
export const formParts = () => PARTS.map(formPart);
