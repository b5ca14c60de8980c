/** Which keys of a table mean something beside which others. */

/** Keys that mean something only beside another. */
export const NEEDS = {
  Stand: { ppfd_umol: "lamp", air_c: "lamp", humidity_pct: "lamp" },
  Load: { flow_within: "flow" },
  Variant: { above: "above", below: "below", until: "sensor", at_least: "sensor" },
  Sensor: { scale: "file", offset: "file", contact: "line", pull: "line", debounce: "line", pulses_per_litre: "line" },
};

/** Keys that mean something only without another. */
export const INSTEAD = {
  Lift: { shut_off_head_m: "curve", free_flow_l_per_h: "curve" },
};

const OF_LAMPS = ["lamp", "ppfd_umol", "air_c", "humidity_pct"];
const NOT_AT = {
  outdoors: [...OF_LAMPS, "air_speed_m_s"], "under-glass": OF_LAMPS, "under-lamps": ["light_share"],
};

/** Keys that a value of another forbids: they are not asked beside it. */
export const FORBIDS = {
  Stand: {
    medium: (medium) => (medium === "bare-roots" ? ["medium_ml"] : []),
    place: (place) => NOT_AT[place] ?? [],
  },
};

/** Keys that cannot stand beside a value of another, and go when it comes. */
export const GIVES_WAY = {
  Energy: { price_per_kwh: () => ["tariff"] },
  Stand: { sown: () => ["age_days"], age_days: () => ["sown"], ...FORBIDS.Stand },
};
