/* Buttons that step a figure up and down, for hands in gloves. Without script they are not shown: one types. */
(function () {
  "use strict";

  document.addEventListener("click", function (event) {
    var button = event.target.closest("[data-step]");
    if (!button) return;
    var field = document.getElementById(button.dataset.for);
    var figure = parseInt(field.value.replace(/\s/g, ""), 10) || 0;
    field.value = Math.max(0, figure + Number(button.dataset.step));
  });
})();
