/** What days are called. */

import { dateText, dayOf } from "/static/moments.js";
import { temperature } from "/static/temperatures.js";
import { DAYS } from "/static/words/preview.js";

const DAY_MS = 86_400_000;

/** `Today, Sun 29 Nov`, `The hottest day of a typical year: Wed 21 Jul, up to 31 °C assumed`, for a day as the preview tells it. */
export function dayTitle(day) {
  const title = dateTitle(day);
  if (day.part === "hottest" && day.warmest_c !== null) {
    return DAYS.warm(DAYS.dated(day.why, title), temperature(Math.round(day.warmest_c)));
  }
  if (day.part !== "next") return DAYS.dated(day.why, title);
  return day.why ? DAYS.besides(title, day.why) : title;
}

function dateTitle(day) {
  const date = dayOf(noonOf(day));
  if (day.part !== "next") return date;
  return DAYS[relation(day)](date);
}

/** Today, tomorrow or neither: which, by this device's clock. */
function relation(day) {
  if (day.date === dateText(Date.now())) return "today";
  return day.date === dateText(Date.now() + DAY_MS) ? "tomorrow" : "next";
}

/** `today`, `on the hottest day`: within a sentence. */
export const dayInSentence = (day) => DAYS.inSentence[day.part === "next" ? relation(day) : day.part];

/** `Today`, `Hottest day`: above a column. */
export const dayColumn = (day) => DAYS.columns[day.part === "next" ? relation(day) : day.part];

const noonOf = (day) => (Date.parse(day.from_utc) + Date.parse(day.to_utc)) / 2;
