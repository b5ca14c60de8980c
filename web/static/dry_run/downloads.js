/** Files to take home: the picture, the figures, every switching. */

import { button, make, show, write } from "/static/dom.js";
import { later } from "/static/later.js";
import { saveFile } from "/static/save_file.js";
import { RESULT } from "/static/words/dry-run-result.js";

/** Buttons that save an outcome; `askEvents()` resolves with CSV text, or null where it was ended,
 * and throws a Problem where there is none. */
export function downloads(told, about, askEvents) {
  const { picture, ...account } = told;
  const problem = make("p", "problem");
  problem.setAttribute("role", "alert");
  const events = button("quiet", RESULT.saveEvents, async () => {
    events.disabled = true;
    write(problem, "");
    try {
      const text = await askEvents();
      if (text !== null) saveFile(text, nameOf(about, "csv"), "text/csv");
    } catch (refusal) {
      write(problem, RESULT.noEvents(refusal.message));
    } finally {
      events.disabled = false;
    }
  });
  const water = button("quiet", RESULT.saveWater, async () => {
    write(problem, "");
    try {
      const { daysFile } = await later("/static/water/days_file.js");
      saveFile(daysFile(account.days), nameOf(about, "water.csv"), "text/csv");
    } catch (refusal) {
      write(problem, RESULT.noEvents(refusal.message));
    }
  });
  show(water, Array.isArray(account.days));
  const row = make(
    "div", "save-row",
    button("quiet", RESULT.savePicture, () => saveFile(picture, nameOf(about, "svg"), "image/svg+xml")),
    events,
    button("quiet", RESULT.saveFigures, () => saveFile(`${JSON.stringify(account, null, 2)}\n`, nameOf(about, "json"), "application/json")),
    water,
  );
  const hint = make("p", "hint", RESULT.eventsHint(about.names[0]));
  show(hint, about.names.length > 1);
  return make("section", "panel part", make("h3", "", RESULT.savesTitle), row, hint, problem);
}

const nameOf = ({ from, days }, ending) => `dry-run-${from}-${days}d.${ending}`;
