/* Keys: what each does stands in the dialog that ? opens (templates/_shortcuts.html). Keys of one letter hold outside
   of fields, and not at all where the device has them switched off. */

const dialog = document.getElementById("shortcuts");
const NOT_TYPED = ':not([type="checkbox"], [type="radio"], [type="submit"], [type="button"])';
const TYPED = `input${NOT_TYPED}, textarea, select, [contenteditable]`;

export function listenForKeys() {
  document.addEventListener("keydown", saveByKey);
  if (document.documentElement.dataset.keys !== "off") document.addEventListener("keydown", singleKey);
}

// The form that one is in, or the page's only one; where there is none the browser keeps its own way with the page.
function saveByKey(event) {
  const chord = (event.ctrlKey || event.metaKey) && !event.altKey && !event.shiftKey;
  if (!chord || event.key.toLowerCase() !== "s" || event.isComposing) return;
  const forms = document.querySelectorAll('#main form[method="post"]:has(.field)');
  const form = event.target.closest?.('#main form[method="post"]') ?? (forms.length === 1 ? forms[0] : null);
  if (!form) return;
  event.preventDefault();
  form.requestSubmit(form.querySelector('button[type="submit"], button:not([type])'));
}

function singleKey(event) {
  const held = event.ctrlKey || event.metaKey || event.altKey || event.repeat || event.isComposing;
  if (held || event.defaultPrevented || event.target.closest?.(TYPED)) return;
  const act = ACTS[event.key] ?? follow(event.key);
  if (!act) return;
  event.preventDefault();
  act();
}

const ACTS = {
  "?": () => {
    if (!dialog.open) dialog.showModal();
  },
  "/": () => {
    const field = document.querySelector('[role="search"] input[type="search"]');
    if (!field) return follow("p")();
    field.focus();
    field.select();
  },
};

function follow(key) {
  const link = dialog.querySelector(`a[data-key="${CSS.escape(key)}"]`);
  return link && (() => location.assign(link.href));
}
