/** The words of what a plan states besides the pieces of the day. */

import { numberRound } from "/static/numbers.js";

function rangeWords({ least, most, isAbove }) {
  const [from, to] = [least, most].map((one) => numberRound(one, 4));
  return isAbove ? `above ${from}, up to ${to}` : `${from} to ${to}`;
}

const standardWords = (standard) => (typeof standard === "number" ? numberRound(standard, 4) : standard);

const VALUES = {
  kind: { pump: "pump", lamp: "lamp", fan: "fan", valve: "valve", heater: "heater" },
  active: { low: "low level: most relay boards", high: "high level" },
  contact: { "normally-open": "normally open (NO)", "normally-closed": "normally closed (NC)" },
  mains: { true: "yes, mains", false: "no, low voltage" },
  when_stopped: { on: "on", off: "off" },
  measures: {
    air_temperature: "air temperature, °C", humidity: "humidity, %", water_temperature: "water temperature, °C",
    light: "light, W/m²", level: "water level (float)", flow: "flow, L/min", leak: "leak", stop: "stop switch",
  },
  pull: { up: "to plus", down: "to ground" },
  medium: { "expanded-clay": "expanded clay", "mineral-wool": "mineral wool", "bare-roots": "bare roots" },
  place: { outdoors: "outdoors", "under-glass": "under glass", "under-lamps": "under lamps" },
};

/** Groups of keys in the order in which they are shown: [title, keys]. */
export const GROUPS = {
  Load: [
    ["Wiring", ["kind", "line", "active", "contact", "watts", "mains"]],
    ["Bounds that nothing overrides", ["longest_on", "shortest_on", "shortest_off"]],
    ["When something fails", ["when_stopped", "without_clock", "level", "flow", "flow_within"]],
    ["What a dry run must hold", [
      "limits.longest_dry_gap", "limits.starts_per_day", "limits.on_per_day", "limits.energy_per_month_kwh",
    ]],
    ["Wear", ["contact_life"]],
    ["Its water", ["reservoir"]],
  ],
  Lift: [["The way up", [
    "height_m", "shut_off_head_m", "free_flow_l_per_h", "hose_bore_mm", "hose_length_m", "hose_roughness_mm",
    "loss_coefficient",
  ]]],
  Stand: [
    ["The plants", ["watered_by", "plants", "age_days", "sown", "medium", "medium_ml", "plants_per_m2"]],
    ["Light and air", [
      "place", "light_share", "lamp", "ppfd_umol", "air", "humidity", "air_c", "humidity_pct", "air_speed_m_s",
    ]],
    ["Water", ["drip_ml_per_min", "reserve"]],
  ],
  Reservoir: [
    ["Water in it", ["full_l", "top_up_at_l", "inlet_at_l", "losses_l_per_day", "water_c"]],
    ["Nutrients", ["ec_ms_per_cm", "ppm_scale"]],
  ],
  Variant: [["", ["above", "below", "until", "at_least", "name"]]],
  Sensor: [
    ["What it reads", ["measures", "file", "scale", "offset", "line", "contact", "pull", "debounce", "pulses_per_litre"]],
    ["How often", ["every", "stale_after"]],
  ],
  Site: [["Where the plants stand", ["latitude", "longitude", "timezone", "elevation_m"]]],
  TypicalDay: [["A typical day’s air", ["coolest_c", "warmest_c"]]],
  Guards: [["What protects people, plants and the supply", [
    "leak", "stop_switch", "starts_together", "starts_apart", "watts_at_once",
  ]]],
  Energy: [["What energy costs", ["price_per_kwh", "currency"]]],
  SiteLimits: [["What a dry run must hold, all loads together", ["energy_per_month_kwh", "cost_per_month", "watts_at_once"]]],
};

const ENERGY_MONTH = { label: "Most energy in a month", unit: "kWh", hint: "" };

/** How keys are called, by the schema's tables. */
export const KEYS = {
  Load: {
    kind: { label: "Kind", hint: "" },
    line: { label: "GPIO line", hint: "BCM number of the line that the relay hangs on" },
    active: { label: "The relay pulls at", hint: "" },
    contact: { label: "It hangs on the contact that is" },
    watts: { label: "Power", unit: "W", hint: "from its label; for energy and cost" },
    mains: { label: "Does the relay switch mains?", hint: "", empty: "yes" },
    longest_on: { label: "Longest on", hint: "never on for longer, whatever anybody orders" },
    shortest_on: { label: "Shortest on", hint: "" },
    shortest_off: { label: "Shortest off", hint: "" },
    when_stopped: { label: "While the controller does not run", hint: "" },
    without_clock: { label: "While no clock can be trusted", hint: "a cycle such as 15m on, 15m off" },
    level: { label: "Stops without water at", hint: "a float in the reservoir" },
    flow: { label: "Water must move past", hint: "a flow meter" },
    flow_within: { label: "… within", hint: "time that the water takes to reach it" },
    contact_life: { label: "The relay’s contact lasts", unit: "times" },
    reservoir: { label: "Drawn from", hint: "" },
    "limits.longest_dry_gap": { label: "Longest dry gap" },
    "limits.starts_per_day": { label: "Most starts in a day", hint: "" },
    "limits.on_per_day": { label: "Longest on in a day, in all", hint: "" },
    "limits.energy_per_month_kwh": ENERGY_MONTH,
  },
  Lift: {
    height_m: { label: "Height", unit: "m", hint: "from the water in the reservoir to the outlet at the top" },
    shut_off_head_m: { label: "Highest lift on its label", unit: "m", hint: "at which nothing flows" },
    free_flow_l_per_h: { label: "Flow on its label", unit: "L/h", hint: "when nothing is lifted" },
    hose_bore_mm: { label: "Inner width of the hose", unit: "mm", hint: "" },
    hose_length_m: { label: "Length of the hose", unit: "m", hint: "" },
    hose_roughness_mm: { label: "Roughness of the hose", unit: "mm", hint: "" },
    loss_coefficient: { label: "Other losses", hint: "of all that is not in the fittings, in velocity heads" },
  },
  Stand: {
    watered_by: { label: "Watered by", hint: "" },
    plants: { label: "How many", hint: "" },
    age_days: { label: "Age", unit: "days", hint: "from sowing, the same on every day; or say when sown" },
    sown: { label: "Sown on", hint: "such as 2026-06-01; they then age through a dry run" },
    medium: { label: "Roots in", hint: "" },
    medium_ml: { label: "Volume of one pot or plug", unit: "mL", hint: "a net pot of 5\u00a0cm has about 90, a plug 25 (common practice)" },
    plants_per_m2: { label: "Plants on a square metre", hint: "of lit area" },
    place: { label: "Where", hint: "" },
    light_share: { label: "Share of the sun that reaches them", hint: "", empty: "1 outdoors, 0.7 under glass" },
    lamp: { label: "Lit by", hint: "" },
    ppfd_umol: { label: "Light on them", unit: "µmol/m²/s", hint: "while it is on; 150 to 300 are usual (common practice)" },
    air: { label: "Sensor of their air", hint: "for demand" },
    humidity: { label: "Sensor of its humidity", hint: "for demand" },
    air_c: { label: "Air in the room", unit: "°C" },
    humidity_pct: { label: "Humidity in the room", unit: "%" },
    air_speed_m_s: { label: "Air past the leaves", unit: "m/s", hint: "" },
    drip_ml_per_min: { label: "Water for one plant", unit: "mL/min", hint: "while its load is on", empty: "by the pump’s way up" },
    reserve: { label: "Reserve", hint: "share of their water that is to be left when roots are driest" },
  },
  Reservoir: {
    full_l: { label: "Full", unit: "L", hint: "" },
    top_up_at_l: { label: "Filled up at", unit: "L", hint: "what is left when somebody does" },
    inlet_at_l: { label: "Pump draws air at", unit: "L", hint: "what is left then" },
    losses_l_per_day: { label: "Lost in a day", unit: "L", hint: "drips, splashes, bare surfaces" },
    water_c: { label: "Its temperature", unit: "°C", hint: "", empty: "the mean of the air" },
    ec_ms_per_cm: { label: "Conductivity when full", unit: "mS/cm", hint: "at 25 °C" },
    ppm_scale: { label: "The meter’s ppm for 1 mS/cm", hint: "" },
  },
  Variant: {
    name: { label: "Name", hint: "" },
    above: { label: "Begins above", unit: "", hint: "" },
    below: { label: "Begins below", unit: "", hint: "" },
    until: { label: "Back to normal at", unit: "", hint: "" },
    at_least: { label: "For at least", hint: "so that a cloud does not change it" },
  },
  Sensor: {
    measures: { label: "Measures", hint: "" },
    file: { label: "File that it reads" },
    scale: { label: "Multiplied by", hint: "such as 0.001 where the file has thousandths" },
    offset: { label: "Added before that", hint: "to what the file has, before it is multiplied" },
    line: { label: "Or a GPIO line", hint: "BCM number; for contacts and flow meters" },
    contact: { label: "Its contact is" },
    pull: { label: "Its resistor pulls" },
    debounce: { label: "Must rest for" },
    pulses_per_litre: { label: "Pulses a litre" },
    every: { label: "Read each", hint: "", empty: "each minute or so" },
    stale_after: { label: "Too old after", hint: "an older reading counts as none" },
  },
  Site: {
    latitude: { label: "Latitude", unit: "°", hint: "north positive" },
    longitude: { label: "Longitude", unit: "°", hint: "east positive" },
    timezone: { label: "Time zone", hint: "such as Europe/Zurich" },
    elevation_m: { label: "Elevation", unit: "m", hint: "above the sea" },
  },
  TypicalDay: {
    coolest_c: { label: "Coolest", unit: "°C", hint: "near sunrise" },
    warmest_c: { label: "Warmest", unit: "°C", hint: "mid-afternoon" },
  },
  Guards: {
    leak: { label: "A leak sensor that stops pumps and valves", hint: "" },
    stop_switch: { label: "A switch that stops everything", hint: "" },
    starts_together: { label: "Loads that may start together", hint: "" },
    starts_apart: { label: "… within", hint: "so that motors do not all start at once" },
    watts_at_once: { label: "Most power at once", unit: "W", hint: "" },
  },
  Energy: {
    price_per_kwh: { label: "Price of a kWh", unit: "", hint: "" },
    currency: { label: "Currency", hint: "such as EUR" },
  },
  SiteLimits: {
    energy_per_month_kwh: ENERGY_MONTH,
    cost_per_month: { label: "Highest cost in a month", unit: "", hint: "" },
    watts_at_once: { label: "Most power at once", unit: "W", hint: "" },
  },
};

export const WORDS = {
  more: "More",
  missing: "This has to be known.",
  notSet: "not set",
  notSetBut: (value) => `not set: ${value}`,
  value: (key, value) => VALUES[key]?.[value] ?? String(value),
  hint: (text, range, standard) => [text, range && rangeWords(range), (standard ?? null) !== null && `if empty: ${standardWords(standard)}`]
    .filter(Boolean).join("; "),
  toldSet: (where, label, text) => `${where}: ${label} ${text === "" ? "left empty" : text}`,
  beware: "Water, mains and pumps can hurt",

  // Loads
  loadName: "Name of this load",
  nameHint: "letters, digits, _ and -; what speaks of it follows",
  newNameHint: "letters, digits, _ and -",
  toldRenamed: (before, after) => `${before} is called ${after}`,
  removeLoad: (name) => `Remove ${name} from the plan`,
  toldRemoved: (name) => `${name} is removed from the draft.`,
  newLoad: { kind: "What is it?", name: "Its name", line: "GPIO line", active: "The relay pulls at", mains: "Does the relay switch mains?" },
  lineHint: "BCM number; this one is free in the plan",
  mainsUnknown: "not sure: treat it as mains",
  addLoad: "Add it",
  toldLoadAdded: (name) => `${name} is added to the draft`,
  newHint: "It begins with sound values for its kind; change its day and settings afterwards.",

  // Variants
  newVariant: {
    trigger: "When", edge: "Begins at", until: "Back to normal at", least: "For at least", name: "Its name",
  },
  trigger: {
    above: (sensor) => `${sensor} is above`,
    below: (sensor) => `${sensor} is below`,
    newSensor: "the air is above (adds a sensor)",
    hand: "a person holds it",
  },
  variantNames: { above: "hot", below: "cold", hand: "by hand" },
  variantHint: "It begins with the same pieces of the day as the load’s own; change them afterwards.",
  sensorHint: "The new sensor has no file yet: until you state one below, under “Plants, reservoirs, sensors, place and guards”, only dry runs know it.",
  addVariant: "Add it",
  toldTrigger: (load, name) => `${load}: another condition for “${name}”`,
  toldVariantAdded: (load, name) => `${load}: variant “${name}” added`,
  removeVariant: (name) => `Remove the variant “${name}”`,
  toldVariantRemoved: (load, name) => `${load}: variant “${name}” is removed from the draft.`,

  // The rest
  lists: {
    stands: {
      title: "Plants", name: "Name of these plants", remove: (name) => `Remove the plants ${name}`,
      none: "The plan tells of no plants yet. With them, dry runs show how dry their roots get.",
    },
    reservoirs: {
      title: "Reservoirs", name: "Name of this reservoir", remove: (name) => `Remove the reservoir ${name}`,
      none: "The plan tells of no reservoir yet. With one, dry runs show when to fill it up.",
    },
    sensors: {
      title: "Sensors", name: "Name of this sensor", remove: (name) => `Remove the sensor ${name}`,
      none: "The plan has no sensor.",
    },
  },
  newSensorTitle: "Add a sensor",
  newSensor: { measures: "What does it measure?", name: "Its name", file: "File that it reads", line: "Or a GPIO line" },
  fileHint: "such as /sys/bus/w1/devices/28-…/w1_slave, of a 1-Wire thermometer",
  sensorLineHint: "for contacts and flow meters; BCM number",
  pulses: "Pulses a litre",
  pulsesHint: "of a flow meter on a line",
  addSensor: "Add it",
  toldSensorAdded: (name) => `the sensor ${name} is added to the draft`,
  addTable: { energy: "Add a price", "site.typical_day": "Add a typical day" },
  removeTable: { energy: "Remove the price", "site.typical_day": "Remove the typical day" },
  toldTable: (title) => `${title}: added`,
  toldTableRemoved: (title) => `${title}: removed`,
};
