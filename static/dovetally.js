/* The little that plain HTML and htmx leave undone. Events are htmx 4's: htmx:error (no answer, time-out),
   htmx:after:request (any answer), htmx:after:swap. */
(function () {
  "use strict";

  function messages() {
    return document.getElementById("messages");
  }

  // Nothing came back: say so, and leave the form alone.
  document.addEventListener("htmx:error", function (event) {
    if (!event.detail.ctx) return;
    messages().replaceChildren(document.getElementById("no-answer").content.cloneNode(true));
  });

  // An answer that worked: an older message no longer holds.
  document.addEventListener("htmx:after:request", function (event) {
    if (event.detail.ctx.response.status < 400) messages().replaceChildren();
  });

  document.addEventListener("click", function (event) {
    if (event.target.closest("[data-close]")) messages().replaceChildren();
    if (event.target.closest("[data-print]")) window.print();
  });

  document.addEventListener("keydown", function (event) {
    if (event.key === "Escape") messages().replaceChildren();
  });

  // A refused form: start reading at what is wrong. Live previews carry no summary and never move the focus.
  function focusSummary(root) {
    var summary = root.querySelector(".error-summary");
    if (summary) summary.focus();
  }

  document.addEventListener("htmx:after:swap", function (event) {
    var ctx = event.detail.ctx;
    if (ctx && ctx.sourceEvent && ctx.sourceEvent.type === "submit") focusSummary(document);
  });
  focusSummary(document);
})();
