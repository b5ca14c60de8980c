/** What energy costs, by a plan. */

/** What a kWh costs by a plan, read as JSON: {perKwh, currency}, or null where it does not tell; `perKwh`
 * is null where the price changes with the time of day. A half-made plan may hold anything. */
export function priceIn(document) {
  const { price_per_kwh: perKwh, tariff, currency } = document?.energy ?? {};
  if (typeof currency !== "string") return null;
  if (Array.isArray(tariff) && tariff.length) return { perKwh: null, currency };
  return typeof perKwh === "number" ? { perKwh, currency } : null;
}
