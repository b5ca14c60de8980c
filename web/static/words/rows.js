/** The words of lists that are rows of two numbers: prices by the time of day, points of a curve. */

/** On a button beside a row, which says to those who do not see the row what it removes. */
export const REMOVE = "×";

export const PAIRS = { takeBack: "As it was" };

export const TARIFF = {
  title: "Prices by the time of day",
  hint: "Each holds from its time, such as 22:00, until the next one’s. They take the place of one price for all times.",
  firstUnit: "on:",
  secondUnit: "",
  firstName: (number) => `Price ${number}: from this time`,
  secondName: (number) => `Price ${number}: of a kWh`,
  add: "Add a price",
  removeIt: (number) => `Remove price ${number}`,
  told: "prices by the time of day",
};

export const POINTS = {
  title: "Points of the pump’s curve",
  hint: "From the maker’s chart: so much flows when it lifts so high. The highest lift has a flow of 0, and the greatest flow mostly a lift of 0.",
  firstUnit: "L/h at",
  secondUnit: "m",
  firstName: (number) => `Point ${number}: flow in litres an hour`,
  secondName: (number) => `Point ${number}: lift in metres`,
  add: "Add a point",
  removeIt: (number) => `Remove point ${number}`,
};
