/** Temperatures as the browser's locale reads them. */

import { numberShort } from "/static/numbers.js";

// Where people read temperatures in °F. Source: Unicode CLDR, unit preferences, temperature.
const FAHRENHEIT = new Set(["BS", "BZ", "KY", "PR", "PW", "US"]);

/** Whether the reader's locale says that temperatures are read in °F; one that names no region, as
 * `en` does, says nothing. */
const readsFahrenheit = () => FAHRENHEIT.has(new Intl.Locale(navigator.language).region);

/** `23.4 °C`; for readers of °F both, because plans are written in °C: `74.1 °F (23.4 °C)`. */
export function temperature(celsius) {
  const told = `${numberShort(celsius)}\u00a0°C`;
  return readsFahrenheit() ? `${numberShort(celsius * 1.8 + 32)}\u00a0°F (${told})` : told;
}
