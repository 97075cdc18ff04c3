/* The little that plain HTML and htmx leave undone, on every page. Events are htmx 4's: htmx:error (no answer,
   time-out), htmx:after:request (any answer), htmx:after:swap. */

const messages = document.getElementById("messages");
const noAnswer = document.getElementById("no-answer");

const clearMessages = () => messages.replaceChildren();

// A refused form: start reading at what is wrong. Live previews carry no summary and never move the focus.
const focusSummary = () => document.querySelector(".error-summary")?.focus();

// Whose request the message is about: only its own next answer, or another form sent, takes the message away.
// A preview that comes in late must not wipe "Busy" from over the form that was not saved.
let teller = null;

// Nothing came back: say so, and leave the form alone.
document.addEventListener("htmx:error", (event) => {
  if (!event.detail.ctx) return;
  teller = event.detail.ctx.sourceElement;
  messages.replaceChildren(noAnswer.content.cloneNode(true));
});

// An answer that worked: an older message no longer holds.
document.addEventListener("htmx:after:request", (event) => {
  const { response, sourceElement, sourceEvent } = event.detail.ctx;
  if (response.status >= 400) teller = sourceElement;
  else if (sourceElement === teller || sourceEvent?.type === "submit") clearMessages();
});

document.addEventListener("htmx:after:swap", (event) => {
  if (event.detail.ctx?.sourceEvent?.type === "submit") focusSummary();
});

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-close]")) clearMessages();
  if (event.target.closest("[data-print]")) window.print();
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") clearMessages();
});

focusSummary();
