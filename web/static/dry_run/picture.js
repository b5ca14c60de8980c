/** The picture that the command line draws, as an image: it can be made larger, and scrolls by
 * itself; its words are there for those who do not see it. */

import { button, make, write } from "/static/dom.js";
import { numberRound } from "/static/numbers.js";
import { RESULT } from "/static/words/dry-run-result.js";

const WIDTH_PX = 600; // at which its smallest letters are as large as the page's hints
const STEP = 1.25;
const LARGEST = 4;

export class Picture {
  #scale = 1;
  #isWhole = true; // nobody has chosen a size

  constructor(svg) {
    const words = wordsOf(svg);
    this.image = make("img", "picture");
    this.image.alt = words.join(" ");
    // As an image, and not within the page: the policy forbids its styles there.
    this.image.src = `data:image/svg+xml,${encodeURIComponent(svg)}`;
    this.home = make("div", "scrolls picture-home", this.image);
    this.home.tabIndex = 0;
    this.home.setAttribute("role", "region");
    this.home.setAttribute("aria-label", RESULT.pictureTitle);
    this.told = make("span", "picture-scale");
    this.told.setAttribute("role", "status");
    const larger = button("quiet", "+", () => this.#set(this.#scale * STEP));
    const smaller = button("quiet", "−", () => this.#set(this.#scale / STEP));
    larger.setAttribute("aria-label", RESULT.larger);
    smaller.setAttribute("aria-label", RESULT.smaller);
    const whole = button("quiet", RESULT.whole, () => this.#set(this.home.clientWidth / WIDTH_PX));
    const tools = make("div", "picture-tools", smaller, larger, whole, this.told);
    const told = make("details", "", make("summary", "", RESULT.inWords), ...words.map((line) => make("p", "", line)));
    this.element = make("section", "panel part", make("h3", "", RESULT.pictureTitle), tools, this.home, told);
    this.#show();
    new ResizeObserver(() => this.#isWhole && this.#show()).observe(this.home);
  }

  /** As wide as there is room, but never so small that it cannot be read. */
  #show() {
    this.#set(Math.max(1, this.home.clientWidth / WIDTH_PX));
    this.#isWhole = true;
  }

  #set(scale) {
    this.#isWhole = false;
    const least = Math.min(1, (this.home.clientWidth || WIDTH_PX) / WIDTH_PX);
    this.#scale = Math.min(LARGEST, Math.max(least, scale));
    const middle = this.home.scrollLeft + this.home.clientWidth / 2;
    const before = this.image.clientWidth || 1;
    this.image.style.width = `${Math.round(WIDTH_PX * this.#scale)}px`;
    this.home.scrollLeft = (middle / before) * this.image.clientWidth - this.home.clientWidth / 2;
    write(this.told, RESULT.scale(numberRound(100 * this.#scale, 0)));
  }
}

/** Titles and descriptions that the picture carries, one a line. */
function wordsOf(svg) {
  const unstyled = svg.replace(/<style>[^]*?<\/style>/g, ""); // the policy would complain of it
  const read = new DOMParser().parseFromString(unstyled, "image/svg+xml");
  const found = read.querySelectorAll(":root > title, :root > desc, :root > svg > title, :root > svg > desc");
  return [...found].map((one) => one.textContent.trim()).filter(Boolean);
}
