/** What is told before something is taken out that others name. */

export const WORDS = {
  ofVariant: (load, variant) => `${load} in its variant “${variant}”`,
  namedBy: {
    reservoir: (who) => `${who} draws from it`,
    level: (who) => `${who} stops by it when water is low`,
    flow: (who) => `${who} is watched by it`,
    sensor: (who) => `${who} waits for its reading`,
    from: (who) => `${who} begins a piece of its day by it`,
    leak: () => "the guard against leaks goes by it",
    stop_switch: () => "the switch that stops everything is this one",
    watered_by: (who) => `${who} is watered by it`,
    lamp: (who) => `${who} is lit by it`,
    air: (who) => `${who} has it for the air`,
    humidity: (who) => `${who} has it for the humidity`,
  },
  stays: (name, reasons) => `${name} stays, because ${reasons.join("; ")}. Change that first.`,
  sure: (name) => `Remove ${name}?`,
  sureText: (name) => `Other parts of the plan name ${name}:`,
  then: {
    without: (what) => `${what}; the plan will no longer say so.`,
    waits: (what) => `${what}; it will then wait for ever.`,
  },
  sureYes: "Remove it",
  sureNo: "Keep it",
};
