/** Counted things. */

import { numberRound } from "/static/numbers.js";

/** `1 alarm`, `3 alarms`, `3,660 days`: in digits as the browser's locale groups them. */
export const plural = (count, one, many) => `${numberRound(count, 0)} ${count === 1 ? one : many}`;
