/** Those who want to know of something, each time that it happens. */

export class Listeners {
  #acts = [];

  add(act) { this.#acts.push(act); }

  remove(act) { this.#acts = this.#acts.filter((one) => one !== act); }

  /** Calls each of them. */
  tell() {
    for (const act of [...this.#acts]) {
      try {
        act();
      } catch (error) {
        reportError(error); // one part that cannot draw must not keep the others from it
      }
    }
  }
}
