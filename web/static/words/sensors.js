/** What sensors measure, and what contacts say. */

export const MEASURES = {
  air_temperature: "air",
  water_temperature: "water",
  humidity: "humidity",
  light: "light",
  level: "level",
  flow: "flow",
  leak: "leak",
  stop: "stop switch",
};

/** What a contact says, by what it measures and its value. */
export const CONTACTS = {
  level: { 1: "Water stands at it", 0: "No water at it" },
  leak: { 1: "Wet", 0: "Dry" },
  stop: { 1: "Pressed", 0: "Not pressed" },
};
