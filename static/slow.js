/* What takes longer than a second says so: a request of htmx, a form that is sent, a page that is asked for. */

const AFTER = 1000;
const LONGEST = 30_000;
const working = document.getElementById("working");
let open = 0;
let begin = 0;
let end = 0;

function started() {
  open += 1;
  if (open > 1) return;
  begin = setTimeout(() => {
    working.hidden = false;
    working.querySelector("span").textContent = working.dataset.words;
  }, AFTER);
  end = setTimeout(finished, LONGEST, true);
}

function finished(all = false) {
  open = all ? 0 : Math.max(0, open - 1);
  if (open > 0) return;
  clearTimeout(begin);
  clearTimeout(end);
  working.hidden = true;
  working.querySelector("span").textContent = "";
}

// A whole page: what is only fetched as a file leaves this page standing, so it is not waited for.
const FILE = /\/(print|export|tables|faces|download)(\/|$)|\.(pdf|csv|xlsx|json|svg|zip)$/;

// The part of the page that will change is busy; what is in it stays as it is.
export function watchWhatTakesLong() {
  document.addEventListener("htmx:before:request", (event) => {
    event.detail.ctx?.target?.setAttribute?.("aria-busy", "true");
    started();
  });
  document.addEventListener("htmx:finally:request", (event) => {
    event.detail.ctx?.target?.removeAttribute?.("aria-busy");
    finished();
  });

  document.addEventListener("submit", (event) => {
    queueMicrotask(() => {
      const address = new URL(event.submitter?.formAction || event.target.action, location.href);
      if (!event.defaultPrevented && event.target.method !== "dialog" && !FILE.test(address.pathname)) started();
    });
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    if (
      !link ||
      event.defaultPrevented ||
      event.ctrlKey ||
      event.metaKey ||
      event.shiftKey ||
      link.target ||
      link.download
    )
      return;
    const address = new URL(link.href);
    const elsewhere = address.pathname !== location.pathname || address.search !== location.search;
    if (address.origin === location.origin && elsewhere && !FILE.test(address.pathname)) started();
  });
  window.addEventListener("pageshow", () => finished(true));
  window.addEventListener("pagehide", () => finished(true));
}
