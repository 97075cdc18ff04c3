/* Buttons that step a figure up and down, for hands in gloves. Without script they are not shown: one types. */

// what is no figure yet counts as nothing; "1 200" is written with a space
const figureIn = (field) => Number.parseInt(field.value.replace(/\s/g, ""), 10) || 0;

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-step]");
  if (!button) return;
  const field = document.getElementById(button.dataset.for);
  field.value = Math.max(0, figureIn(field) + Number(button.dataset.step));
});
