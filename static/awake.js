/* The screen stays on while one mills: asked of the browser, let go when the page is out of sight and asked for again
   when it comes back. A browser offers it on pages that come encrypted or from this computer only; where it does not,
   the page says so. A switch turns it off, and the device remembers that. */

const OFF = "dovetally screen may sleep";

const words = document.querySelector("[data-awake]");
const button = document.querySelector("[data-awake-switch]");

let lock = null;
let isAsking = false;

// storage may be refused; then the switch holds for this page
let isOff = false;
try {
  isOff = localStorage.getItem(OFF) === "yes";
} catch {
  // it stays on
}

function remember() {
  try {
    if (isOff) localStorage.setItem(OFF, "yes");
    else localStorage.removeItem(OFF);
  } catch {
    // it holds for this page
  }
}

const isHeld = () => lock !== null && !lock.released;

function show(failure = "") {
  button.hidden = false;
  button.setAttribute("aria-pressed", String(!isOff));
  const said = isOff ? "The screen may go dark" : isHeld() ? "The screen stays on" : failure;
  if (words.textContent !== said) words.textContent = said;
}

async function hold() {
  if (isOff || document.hidden || isHeld() || isAsking) return;
  isAsking = true;
  try {
    lock = await navigator.wakeLock.request("screen");
    // the battery, say, may take it away: the next look at the page asks again
    lock.addEventListener("release", () => show());
    show();
  } catch {
    show("The browser did not keep the screen on; it may be saving power");
  }
  isAsking = false;
  // switched off or hidden while it was asked for
  if (isOff || document.hidden) letGo();
}

async function letGo() {
  const held = lock;
  lock = null;
  if (held && !held.released) await held.release();
  show();
}

function begin() {
  button.addEventListener("click", () => {
    isOff = !isOff;
    remember();
    show();
    if (isOff) letGo();
    else hold();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) letGo();
    else hold();
  });
  show();
  hold();
}

if ("wakeLock" in navigator) begin();
else words.textContent = words.dataset.without;
