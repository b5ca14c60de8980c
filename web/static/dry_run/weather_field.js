/** Which weather: a typical day again and again, or a file. */

import { make, show } from "/static/dom.js";
import { FilePick, Ways } from "/static/dry_run/fields.js";
import { later } from "/static/later.js";
import { WORDS } from "/static/words/dry-run.js";

const WEATHER_BYTES_MAX = 6_000_000; // the program takes little more at once

export class WeatherField {
  /** `hear(way)` and `hearFile(file)` when something is chosen. */
  constructor({ hear, hearFile }) {
    this.ways = new Ways(WORDS.weather, [["typical", WORDS.typicalDay], ["file", WORDS.weatherOfFile]], hear);
    this.pick = new FilePick(WORDS.weatherFile, ".epw,.csv,.tm3,.txt,text/csv", async (file) => {
      try {
        const { weatherFileOf } = await later("/static/dry_run/files.js");
        hearFile(await weatherFileOf(file, WEATHER_BYTES_MAX));
        this.tell("");
      } catch (error) {
        this.tell(error.message);
      }
    });
    this.hint = make("p", "hint");
    this.element = make("div", "weather", this.ways.element, this.pick.element, this.hint);
  }

  draw(way, file) {
    this.ways.set(way);
    show(this.pick.element, way === "file");
    this.pick.name(file === null ? WORDS.noFileYet : WORDS.fileChosen(file.name, file.size));
    this.hint.textContent = way === "file" ? WORDS.weatherHint(WEATHER_BYTES_MAX) : WORDS.typicalHint;
  }

  /** What is wrong with the file, line by line. */
  tell(text) {
    this.pick.tell(text);
  }
}
