/* Sends the ticks that wait, and asks what was ticked elsewhere; tries again for as long as no answer comes.

   One request is under way at a time. What is sent stays in the store until the program says that it has it, so a
   lost answer costs nothing but sending again: a tick's uuid is booked once. */

const PATIENCE = 15000;
const POLL = 15000;
const FIRST_RETRY = 2000;
const LAST_RETRY = 60000;
// a network that answers as fast as this is not worth a word
const UNNOTICED = 1500;
// the answers that say why nothing was taken: not paired, not allowed, gone, no tick
const REFUSALS = [401, 403, 404, 422];

/** The one way between a store and an address.
 *
 *  It calls `onAnswer(answer)` before what was booked leaves the store, `onChange()` when ticks or link are to be
 *  shown anew, and `onWaiting()` when the link alone is. */
export class TickExchange {
  /** What the program said when it refused the ticks as a whole; "" where it did not. */
  refusal = "";
  failing = false;

  #address;
  #store;
  #atOnce;
  #seen;
  #hooks;
  #busy = false;
  #again = false;
  #timer = 0;
  #wait = FIRST_RETRY;
  #since = 0;

  constructor({ address, store, atOnce, seen, ...hooks }) {
    this.#address = address;
    this.#store = store;
    this.#atOnce = atOnce;
    this.#seen = seen;
    this.#hooks = hooks;
  }

  /** Whether sending takes so long that whoever ticks should know. */
  get isSlow() {
    return this.failing || (this.#since > 0 && Date.now() - this.#since > UNNOTICED);
  }

  /** Go on for as long as the page is open. */
  start() {
    window.addEventListener("online", () => this.#runSoon());
    window.addEventListener("offline", () => {
      this.failing = true;
      this.#hooks.onWaiting();
    });
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.#runSoon();
    });
    this.run();
  }

  /** Send what waits now, or as soon as the request under way is answered. */
  async run() {
    if (this.#busy) {
      this.#again = true;
      return;
    }
    clearTimeout(this.#timer);
    if (navigator.onLine === false) {
      this.#failed();
      return;
    }
    const ticks = this.#store.waiting().slice(0, this.#atOnce);
    this.#busy = true;
    this.#again = false;
    if (ticks.length) this.#noteStart();
    const went = await this.#ask(ticks);
    this.#busy = false;
    if (went) this.#went();
    else this.#failed();
  }

  // something tells that the network may be back: no need to sit out a long wait
  #runSoon() {
    this.#wait = FIRST_RETRY;
    this.run();
  }

  #noteStart() {
    if (this.#since) return;
    this.#since = Date.now();
    setTimeout(this.#hooks.onWaiting, UNNOTICED + 50);
  }

  // whether the program answered and took what was sent
  async #ask(ticks) {
    const stop = new AbortController();
    const patience = setTimeout(() => stop.abort(), PATIENCE);
    try {
      const response = await fetch(this.#url(), { ...request(ticks), cache: "no-store", signal: stop.signal });
      return this.#received(response.status, await response.json());
    } catch {
      return false;
    } finally {
      clearTimeout(patience);
    }
  }

  #url() {
    return `${this.#address}${this.#address.includes("?") ? "&" : "?"}after=${this.#seen}`;
  }

  #received(status, answer) {
    if (REFUSALS.includes(status)) this.refusal = answer.error;
    if (status !== 200) return false;
    this.#hooks.onAnswer(answer);
    this.#seen = Math.max(this.#seen, answer.seen);
    this.#store.letGo([...(answer.booked ?? []), ...(answer.gone ?? [])]);
    return true;
  }

  #went() {
    this.failing = false;
    this.refusal = "";
    this.#since = 0;
    this.#wait = FIRST_RETRY;
    this.#hooks.onChange();
    if (this.#again || this.#store.waiting().length) this.run();
    else this.#timer = setTimeout(() => this.run(), POLL);
  }

  #failed() {
    this.failing = true;
    this.#hooks.onChange();
    this.#timer = setTimeout(() => this.run(), this.#wait);
    this.#wait = Math.min(2 * this.#wait, LAST_RETRY);
  }
}

function request(ticks) {
  if (!ticks.length) return { method: "GET" };
  return { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(ticks) };
}
