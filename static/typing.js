/* Typing into a form without going back and forth: a click takes what stands in a field, Ctrl+Enter adds and goes on. */

const FIGURES = '#assembly-form input[type="text"]';

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
