/** Counted things. */

/** `1 alarm`, `3 alarms`. */
export const plural = (count, one, many) => (count === 1 ? `1 ${one}` : `${count} ${many}`);
