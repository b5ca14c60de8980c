/** Numbers as the browser's locale writes them. */

const formats = new Map();

function format(digits) {
  if (!formats.has(digits)) {
    formats.set(digits, new Intl.NumberFormat(undefined, { maximumFractionDigits: digits }));
  }
  return formats.get(digits);
}

/** `23.4`: at most so many digits after the point. */
export const numberRound = (value, digits) => format(digits).format(value);

/** `23.4`: at most one digit after the point. */
export const numberShort = (value) => numberRound(value, 1);
