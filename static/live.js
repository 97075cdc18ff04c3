/* While one types: the preview brings sentences for fields that need another look; they go to their fields. So does
   what an empty field stands for. A preview says in data-live which form it belongs to.
   The field that is being typed in is left in peace until one leaves it. */

// "behind[0]" in the answer is "f-behind-0" on the page
const fieldId = (name) => `f-${name.replace(/[.[]/g, "-").replace(/]/g, "")}`;

// a problem may bring its field's name and a button along
const sentenceOf = (problem) => (problem.querySelector(".sentence") ?? problem).textContent;

const capitalized = (words) => words.charAt(0).toUpperCase() + words.slice(1);

// What a control is described by beside its sentence, its hint say, stays.
function setDescription(control, ids) {
  if (ids.length) control.setAttribute("aria-describedby", ids.join(" "));
  else control.removeAttribute("aria-describedby");
}

function descriptionOf(control) {
  const ids = (control.getAttribute("aria-describedby") ?? "").split(" ");
  return ids.filter((id) => id && id !== `${control.id}-error`);
}

function clear(form) {
  for (const sentence of form.querySelectorAll(".field-error")) sentence.remove();
  for (const field of form.querySelectorAll(".has-error")) field.classList.remove("has-error");
  for (const control of form.querySelectorAll("[aria-invalid]")) {
    control.removeAttribute("aria-invalid");
    setDescription(control, descriptionOf(control));
  }
}

function sentenceFor(control, words) {
  const sentence = document.createElement("p");
  sentence.className = "field-error";
  sentence.id = `${control.id}-error`;
  sentence.appendChild(document.createElement("span")).textContent = capitalized(words);
  return sentence;
}

function show(control, words) {
  const place = control.closest(".field") ?? control;
  const sentence = sentenceFor(control, words);
  place.append(sentence);
  place.classList.add("has-error");
  // a group of fields takes the sentence, but is nothing that could be invalid
  if (place === control) return;
  control.setAttribute("aria-invalid", "true");
  setDescription(control, [sentence.id, ...descriptionOf(control)]);
}

document.addEventListener("htmx:after:swap", (event) => {
  const preview = event.detail.ctx?.sourceElement;
  if (!preview?.dataset.live) return;
  clear(document.getElementById(preview.dataset.live));
  for (const problem of preview.querySelectorAll(".field-problems li")) {
    const control = document.getElementById(fieldId(problem.dataset.field));
    if (control && control !== document.activeElement) show(control, sentenceOf(problem));
  }
  for (const proposal of preview.querySelectorAll(".field-proposals li")) {
    document.getElementById(fieldId(proposal.dataset.field))?.setAttribute("placeholder", proposal.textContent);
  }
});
