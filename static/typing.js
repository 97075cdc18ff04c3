/* Typing into a form without going back and forth: a click takes what stands in a field, Ctrl+Enter adds and goes on,
   and a field that lines of sizes stand for takes nothing meanwhile. */

const FIGURES = ':is(#assembly-form, #section-form) input[type="text"]';

// Whoever comes into a field with Tab has all of it and types over it; whoever clicks has it too. A second click sets
// the caret, and what was marked by dragging stays marked.
let entered = null;

document.addEventListener("pointerdown", (event) => {
  const field = event.target.closest(FIGURES);
  entered = field === document.activeElement ? null : field;
});

document.addEventListener("click", (event) => {
  const field = entered;
  entered = null;
  if (field && event.target === field && field.selectionStart === field.selectionEnd) field.select();
});

// Enter in a field sends the form, as in every form; with Ctrl, from anywhere in it, it goes on to the next.
document.addEventListener("keydown", (event) => {
  const form = event.target.closest("#assembly-form");
  if (!form || event.key !== "Enter" || event.isComposing || !(event.ctrlKey || event.metaKey)) return;
  event.preventDefault();
  form.requestSubmit(form.querySelector("[name=next]") ?? form.querySelector("button"));
});

// Sent all the same, so that what stood there is there again when the lines are taken away.
function leaveToLines() {
  const lines = document.querySelector("#assembly-form [name=sizes]");
  for (const field of document.querySelectorAll("#assembly-form .in-lines input")) {
    field.readOnly = lines !== null && lines.value.trim() !== "";
  }
}

document.addEventListener("input", (event) => {
  if (event.target.name === "sizes") leaveToLines();
});
document.addEventListener("htmx:after:swap", leaveToLines);
leaveToLines();
