/** What loads of each kind are said to do. */

const DOING = {
  pump: { on: "Watering", off: "Resting", untilOff: "until it rests", untilOn: "until it waters" },
  valve: { on: "Open", off: "Closed", untilOff: "until it closes", untilOn: "until it opens" },
  lamp: { on: "Lit", off: "Dark", untilOff: "until it goes dark", untilOn: "until it is lit" },
  fan: { on: "Blowing", off: "Still", untilOff: "until it stands still", untilOn: "until it blows" },
  heater: { on: "Heating", off: "Cold", untilOff: "until it goes off", untilOn: "until it heats" },
};
const OTHERWISE = { on: "On", off: "Off", untilOff: "until it goes off", untilOn: "until it goes on" };

/** What a load of a kind does when on and off, and what its next change is called. */
export const doing = (kind) => DOING[kind] ?? OTHERWISE;
