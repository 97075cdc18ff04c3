/* While one types: the preview brings sentences for fields that need another look; they go to their fields.
   The field that is being typed in is left in peace until one leaves it. */
(function () {
  "use strict";

  function fieldId(name) {
    return "f-" + name.replace(/[.[]/g, "-").replace(/]/g, "");
  }

  function clear(form) {
    form.querySelectorAll(".field-error").forEach(function (sentence) { sentence.remove(); });
    form.querySelectorAll(".has-error").forEach(function (field) { field.classList.remove("has-error"); });
    form.querySelectorAll("[aria-invalid]").forEach(function (control) {
      control.removeAttribute("aria-invalid");
      var rest = (control.getAttribute("aria-describedby") || "").split(" ").filter(function (id) { return id && id !== control.id + "-error"; });
      if (rest.length) control.setAttribute("aria-describedby", rest.join(" "));
      else control.removeAttribute("aria-describedby");
    });
  }

  function show(control, words) {
    var place = control.closest(".field") || control;
    var sentence = document.createElement("p");
    sentence.className = "field-error";
    sentence.id = control.id + "-error";
    sentence.appendChild(document.createElement("span")).textContent = words.charAt(0).toUpperCase() + words.slice(1);
    place.appendChild(sentence);
    place.classList.add("has-error");
    if (place === control) return;
    control.setAttribute("aria-invalid", "true");
    control.setAttribute("aria-describedby", [sentence.id, control.getAttribute("aria-describedby")].filter(Boolean).join(" "));
  }

  document.addEventListener("htmx:after:swap", function (event) {
    var ctx = event.detail.ctx;
    if (!ctx || !ctx.sourceElement || ctx.sourceElement.id !== "live") return;
    clear(document.getElementById("assembly-form"));
    document.querySelectorAll("#live .field-problems li").forEach(function (problem) {
      var control = document.getElementById(fieldId(problem.dataset.field));
      if (control && control !== document.activeElement) show(control, problem.textContent);
    });
  });
})();
