/* The little that plain HTML and htmx leave undone, on every page. Events are htmx 4's: htmx:error (no answer,
   time-out), htmx:after:request (any answer), htmx:after:swap. */

import { watchDrafts } from "./drafts.js";
import { tellWhatWasTypedEarly } from "./early.js";
import { sayNoAnswer } from "./no_answer.js";
import { listenForKeys } from "./shortcuts.js";
import { watchWhatTakesLong } from "./slow.js";

const messages = document.getElementById("messages");

const clearMessages = () => messages.replaceChildren();

// A refused form: start reading at what is wrong. Live previews carry no summary and never move the focus.
const focusSummary = () => document.querySelector(".error-summary")?.focus();

// Whose request the message is about: only its own next answer, or another form sent, takes the message away.
// A preview that comes in late must not wipe "Busy" from over the form that was not saved.
let teller = null;

// Nothing came back: say so, and leave the form alone. Only what was sent to be saved may have been saved.
document.addEventListener("htmx:error", (event) => {
  const { ctx } = event.detail;
  if (!ctx) return;
  teller = ctx.sourceElement;
  sayNoAnswer(messages, ctx.sourceEvent?.type === "submit" ? ctx.request.body : null);
});

// An answer: an older message no longer holds. One that is a message itself is put there after this.
document.addEventListener("htmx:after:request", (event) => {
  const { response, sourceElement, sourceEvent } = event.detail.ctx;
  if (sourceElement === teller || sourceEvent?.type === "submit") clearMessages();
  if (response.status >= 400) teller = sourceElement;
});

document.addEventListener("htmx:after:swap", (event) => {
  if (event.detail.ctx?.sourceEvent?.type === "submit") {
    focusSummary();
    // what had the focus may be gone: reading goes on where the new page begins
    if (document.activeElement === document.body) document.getElementById("main")?.focus({ preventScroll: true });
  }
  lay();
});

// What CSS cannot tell. A table that fits its region needs no scrolling there, so its head may stick to the window. A
// drawing's pane that is taller than the window sticks by its lower edge, or that would be seen at the page's end only.
const sizes = new ResizeObserver(() => lay());

function lay() {
  for (const region of document.querySelectorAll(".table-region")) {
    region.toggleAttribute("data-fits", region.scrollWidth <= region.clientWidth);
  }
  for (const pane of document.querySelectorAll(".pane-drawing")) {
    sizes.observe(pane);
    pane.style.setProperty("--sticks-at", `calc(100vh - 1rem - ${pane.offsetHeight}px)`);
  }
}

sizes.observe(document.body);
lay();

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-close]")) clearMessages();
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") clearMessages();
});

focusSummary();
watchDrafts();
tellWhatWasTypedEarly();
listenForKeys();
watchWhatTakesLong();
