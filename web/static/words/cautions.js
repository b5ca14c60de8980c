/** The cautions, and where they stand. */

/** Quoted from the controller's own cautions. */
export const CAUTIONS = [
  "Prefer low voltage: a 12 V or 24 V pump on a safety-isolated supply needs no mains near water at all.",
  "Mains near water belongs behind a GFCI (North America) or a 30 mA RCD (elsewhere); test its button every month.",
  "Give every cord a drip loop: it hangs below the socket and rises to it, so that water drips off.",
  "Relays, supplies and plugs live in a closed enclosure, above and away from the water, with strain relief.",
  "Unplug pump and lamps before you put wet hands near them. Software is not a switch that you may trust your life to.",
  "Local codes have the last word, and work on mains is for licensed people.",
];
