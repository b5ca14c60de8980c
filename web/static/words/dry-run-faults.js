/** The words of what goes wrong in a dry run: a form of faults, and their script. */

export const WORDS = {
  faultKind: "One more fault",
  addFault: "Add",
  remove: "Remove",
  removeName: (title) => `Remove ${title}`,
  faultTitle: (number, kind) => `${number}. ${kind}`,
  faultPlace: (number, key) => (key ? `Fault ${number}, ${key}` : `Fault ${number}`),
  fieldEmpty: "Is missing: fill it in.",
  faultOutside: "These days do not have it: it changes nothing.",
  faultsEnough: (most) => `A form has at most ${most} faults. Write more of them as a script.`,
  contact: (zero, one) => `0: ${zero.toLowerCase()}. 1: ${one.toLowerCase()}.`,
  script: "Fault script (TOML)",
  scriptHint: "Each fault is a table [[faults]] with a kind. Times are the site's, such as \"2026-07-12T13:00\".",
  scriptFile: "Read it from a file",
  noForm: "The form cannot show this script as it is. Mend or shorten it here first.",
  notChecked: (why) => `Not checked: ${why}`,
};

/** Faults as people speak of them. */
export const FAULTS = {
  kinds: {
    power_out: "The power fails",
    pump_fails: "A pump moves no water",
    sensor_reads: "A sensor tells something false",
    sensor_silent: "A sensor falls silent",
    sensor_stuck: "A sensor is stuck",
    clock_wrong: "The clock is wrong, and nobody knows",
    clock_untrusted: "The clock is not to be trusted",
    hold: "Somebody holds a load",
    release: "Somebody ends a hold",
    stop: "Somebody stops everything",
    resume: "Somebody resumes everything",
    acknowledge: "Somebody acknowledges all alarms",
  },
  fields: {
    from: () => "From",
    until: () => "Until",
    at: () => "At",
    load: (kind) => (kind === "pump_fails" ? "Pump" : "Load"),
    sensor: () => "Sensor",
    value: () => "It reads",
    by: () => "Wrong by",
    order: () => "Order",
    for: () => "For",
    clock_unknown_for: () => "Then the clock is unknown for",
  },
  hints: {
    by: "Such as +1h or -20m.",
    order: "on, off, a cycle such as 1m on, 5m off, or the name of a variant.",
    for: "Such as 20m.",
    clock_unknown_for: "Such as 3m; leave it empty if the clock is right at once.",
  },
  measures: { air_temperature: "In °C.", water_temperature: "In °C.", humidity: "In %.", light: "In W/m².", flow: "In L/min." },
  nothingNamed: { load: "the plan has no load", sensor: "the plan has no sensor" },
  times: { from: "13:00", until: "16:30", at: "13:00" },
};
