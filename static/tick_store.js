/* Ticks that wait to be sent, kept on the device: they outlive the tab, the browser and a restart.

   Each lies in the browser's storage under a name of its own, in the order in which they were made, so that two
   windows of one device cannot lose each other's. */

const OURS_KEPT = 300;
const UUID_LETTERS = 36;

// A browser may refuse to keep anything (a private window, a full disk); only trying tells.
function lasting() {
  try {
    localStorage.setItem("dovetally try", "1");
    localStorage.removeItem("dovetally try");
  } catch {
    return null;
  }
  return {
    names: () => Object.keys(localStorage),
    read: (name) => localStorage.getItem(name),
    write: (name, text) => localStorage.setItem(name, text),
    drop: (name) => localStorage.removeItem(name),
    lasts: true,
  };
}

function passing() {
  const memory = new Map();
  return {
    names: () => [...memory.keys()],
    read: (name) => memory.get(name) ?? null,
    write: (name, text) => memory.set(name, text),
    drop: (name) => memory.delete(name),
    lasts: false,
  };
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

const isTick = (value) => typeof value?.uuid === "string" && Number.isInteger(value.count);

/** The ticks that go to one address, and which of them were made on this device. */
export class TickStore {
  #keeper = lasting() ?? passing();
  #queue;
  #own;

  constructor(address) {
    this.#queue = `dovetally tick ${address} `;
    this.#own = `dovetally ours ${address}`;
  }

  /** Whether what is kept outlives the page. */
  get lasts() {
    return this.#keeper.lasts;
  }

  /** The uuids of the ticks that were made here last, sent or not. */
  ours() {
    const found = parsed(this.#keeper.read(this.#own));
    return Array.isArray(found) ? found : [];
  }

  /** The ticks that are not sent, oldest first. What is not ours to read is left alone. */
  waiting() {
    return this.#names()
      .map((name) => parsed(this.#keeper.read(name)))
      .filter(isTick);
  }

  keep(tick) {
    const last = this.#names().at(-1);
    const number = last ? Number.parseInt(last.slice(this.#queue.length), 10) || 0 : 0;
    // names are sorted as text, so all numbers are as long
    const place = String(number + 1).padStart(9, "0");
    this.#keeper.write(`${this.#queue}${place} ${tick.uuid}`, JSON.stringify(tick));
    this.#keeper.write(this.#own, JSON.stringify([...this.ours(), tick.uuid].slice(-OURS_KEPT)));
  }

  /** Forget what the program has booked, or will never book. */
  letGo(uuids) {
    for (const name of this.#names()) {
      if (uuids.includes(name.slice(-UUID_LETTERS))) this.#keeper.drop(name);
    }
  }

  #names() {
    return this.#keeper
      .names()
      .filter((name) => name.startsWith(this.#queue))
      .sort();
  }
}
