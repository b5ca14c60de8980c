/** The newest picture of the controller, how old it is, and whether more will come. */

import { EVENTS } from "/static/api.js";

// The page's program sends a picture at least every 15 s; a stream silent for longer than two of
// them is dead, whatever the network believes.
const SILENCE_MAX_MS = 35_000;
const AGAIN_MS = [1_000, 2_000, 4_000, 8_000];

export class Live {
  /** `onChange()` after each picture and change of connection, `onJournal(told)` with new entries,
   * `onLost()` when the stream ends: the visitor may have been logged out. */
  constructor({ onChange, onJournal, onLost }) {
    this.status = null;
    this.reason = null;
    this.isReached = false; // the page's own program
    this.isConnected = false; // the controller, by way of it
    this.wasHeard = false;
    this.#onChange = onChange;
    this.#onJournal = onJournal;
    this.#onLost = onLost;
    addEventListener("online", () => this.#hurry());
    addEventListener("offline", () => this.#stream && this.#lose());
    document.addEventListener("visibilitychange", () => document.hidden || this.#hurry());
  }

  #onChange;
  #onJournal;
  #onLost;
  #stream = null;
  #timer = 0;
  #silence = 0;
  #tries = 0;
  #heardMs = 0;
  #takenMs = 0; // by this device's clock: the moment that the picture shows
  #wanted = false;

  open() {
    this.#wanted = true;
    this.#connect();
  }

  /** Forgets all that was seen: whoever looks next may have no right to it. */
  close() {
    this.#wanted = false;
    this.#drop();
    this.isReached = false;
    this.isConnected = false;
    this.wasHeard = false;
    this.status = null;
    this.reason = null;
  }

  /** Whether what is shown is how it is now. */
  get isFresh() {
    return this.isReached && this.isConnected && this.status !== null;
  }

  /** How old the picture is. */
  get ageS() {
    return Math.max(0, (Date.now() - this.#takenMs) / 1000);
  }

  /** What the controller's clock should show by now. */
  get nowMs() {
    return Date.parse(this.status.now_utc) + this.passedS * 1000;
  }

  /** How long the controller has lived since its picture: in a rehearsal, faster than life. */
  get passedS() {
    return this.ageS * this.status.speed;
  }

  /** Takes a status that answered an order. */
  take(status) {
    this.status = status;
    this.#takenMs = Date.now();
    this.isConnected = true;
    this.#onChange();
  }

  #connect() {
    this.#drop();
    const stream = new EventSource(EVENTS);
    this.#stream = stream;
    this.#heardMs = Date.now();
    this.#silence = setInterval(() => {
      if (Date.now() - this.#heardMs > SILENCE_MAX_MS) this.#lose();
    }, 5_000);
    stream.addEventListener("picture", (event) => this.#picture(JSON.parse(event.data)));
    stream.addEventListener("journal", (event) => {
      this.#heardMs = Date.now();
      this.#onJournal(JSON.parse(event.data));
    });
    stream.addEventListener("error", () => this.#lose());
  }

  #picture(picture) {
    this.#heardMs = Date.now();
    this.#tries = 0;
    this.isReached = true;
    this.wasHeard = true;
    this.isConnected = picture.is_connected;
    this.reason = picture.reason;
    // A program that has just been restarted has no picture, and an older one is better than none.
    if (picture.status !== null) {
      this.status = picture.status;
      this.#takenMs = Date.now() - (picture.age_s ?? 0) * 1000;
    }
    this.#onChange();
  }

  #lose() {
    this.#drop();
    if (!this.#wanted) return;
    this.isReached = false;
    this.wasHeard = true;
    const wait = AGAIN_MS[Math.min(this.#tries, AGAIN_MS.length - 1)];
    this.#tries += 1;
    this.#timer = setTimeout(() => this.#connect(), wait);
    this.#onChange();
    this.#onLost();
  }

  /** Somebody looks, or the network is back: no reason to wait. */
  #hurry() {
    if (!this.#wanted) return;
    const isSilent = Date.now() - this.#heardMs > SILENCE_MAX_MS / 2;
    if (!this.isReached || isSilent) this.#connect();
  }

  #drop() {
    clearTimeout(this.#timer);
    clearInterval(this.#silence);
    this.#stream?.close();
    this.#stream = null;
  }
}
