/* What is typed into a form and not saved is kept, and offered when the form is opened again: nothing is filled in by
   itself. Every form that is posted has this, but for ticks and for steps back. Chosen files, hidden fields and
   passwords are never kept. What is said stands in base.html. */

import { draftsOf, dropDraft, keepDraft, newName } from "./draft_store.js";
import { chosen, fieldsOf, givenOf, isTyped, stands, valuesOf } from "./fields.js";

const PAUSE = 300;
const MOST_OFFERED = 3;

const template = document.getElementById("draft-offer");
const forms = new Map(); // by address: what the server gave, and the name of the draft of this opening
const waiting = new Map();

const drafted = (form) => form?.method === "post" && form.matches(":not([data-tick], [data-back])");
const addressOf = (form) =>
  `${location.pathname}${location.search} ${new URL(form.action).pathname} ${form.getAttribute("id") ?? ""}`.trim();
const carried = (form, name) => form.querySelector(`input[type="hidden"][name="${name}"]`)?.value ?? "";

const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

const knownForm = (form) => {
  const address = addressOf(form);
  if (!forms.has(address))
    forms.set(address, { given: givenOf(form), name: newName(), version: carried(form, "version") });
  return { address, ...forms.get(address) };
};

const keep = (form) => {
  const { address, given, name, version } = knownForm(form);
  clearTimeout(waiting.get(form)); // or it would keep again what was saved and dropped meanwhile
  waiting.delete(form);
  const values = valuesOf(form);
  if (same(values, given)) dropDraft(name);
  else keepDraft(name, { address, given, values, version, token: carried(form, "token") });
};

const keepSoon = (event) => {
  const form = event.target.form ?? event.target.closest?.("form");
  if (!drafted(form) || !isTyped(event.target)) return;
  clearTimeout(waiting.get(form));
  waiting.set(
    form,
    setTimeout(() => keep(form), PAUSE),
  );
};

const keepNow = () => {
  for (const form of waiting.keys()) {
    if (form.isConnected) keep(form);
  }
};

// Whether a form was acted on after all: its answer may never have come, or led to another page.
const wasSaved = async (token) => {
  if (!token) return false;
  try {
    const answer = await fetch(
      `${document.getElementById("no-answer").dataset.asked}${encodeURIComponent(token)}`,
    );
    return answer.ok && (await answer.json()).saved === true;
  } catch {
    return false;
  }
};

// The next text under a field's name, taken out of what is left; of a tick or a choice, only its own.
const take = (left, field) => {
  const place = left.findIndex(([name, text]) => name === field.name && (!chosen(field) || text === field.value));
  return place < 0 ? null : left.splice(place, 1)[0][1];
};

// Put a text into a field, null where there is none for it; whether it stands there now.
const put = (field, text) => {
  if (chosen(field)) {
    field.checked = text !== null;
    return true;
  }
  if (text !== null) field.value = text;
  return text === null || field.value === text;
};

// Put the texts into the fields of their names, in their order; those that found no field.
const fill = (form, values) => {
  const left = values.slice();
  const strange = [];
  const before = new Map(fieldsOf(form).map((field) => [field, stands(field)]));
  for (const field of before.keys()) {
    const text = take(left, field);
    if (!put(field, text)) strange.push([field.name, text]);
  }
  for (const [field, was] of before) {
    if (was === stands(field)) continue;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }
  return [...left, ...strange].filter(([, text]) => text !== "");
};

const labelOf = (form, name) => {
  const field = fieldsOf(form).find((each) => each.name === name);
  return field?.labels?.[0]?.textContent.trim() || name;
};

const say = (bar, draft, form) => {
  const when = new Date(draft.at);
  bar.querySelector("[data-when]").textContent = when.toLocaleString([], {
    dateStyle: "medium",
    timeStyle: "short",
  });
  bar.querySelector("[data-moved]").hidden = draft.version === carried(form, "version");
};

const tellLeft = (bar, left, form) => {
  const list = bar.querySelector("[data-left]");
  list.hidden = left.length === 0;
  list.querySelector("ul").replaceChildren(
    ...left.map(([name, text]) => {
      const item = document.createElement("li");
      item.textContent = `${labelOf(form, name)}: ${text}`;
      return item;
    }),
  );
};

const bringBack = (bar, draft, form) => {
  const left = fill(form, draft.values);
  tellLeft(bar, left, form);
  bar.querySelector("[data-asked]").hidden = true;
  keep(form); // what was brought back is this opening's draft now, and the one it came from goes
  if (left.length === 0) {
    dropDraft(draft.name);
    bar.remove();
  } else bar.querySelector("[data-bring]").hidden = true;
  fieldsOf(form)[0]?.focus();
};

const offer = (draft, form) => {
  const bar = template.content.firstElementChild.cloneNode(true);
  say(bar, draft, form);
  bar.addEventListener("click", (event) => {
    const now = document.contains(form)
      ? form
      : [...document.forms].find((each) => addressOf(each) === draft.address);
    if (event.target.closest("[data-bring]") && now) bringBack(bar, draft, now);
    if (event.target.closest("[data-put-away]")) {
      dropDraft(draft.name);
      bar.remove();
      now?.querySelector("input:not([type=hidden]), select, textarea")?.focus();
    }
  });
  form.before(bar);
};

// A draft that is to be offered: not one that was saved after all, nor one that the form holds already, shown again.
const open = async (draft, known, form) => {
  if (await wasSaved(draft.token)) {
    dropDraft(draft.name);
    return false;
  }
  if (!same(draft.values, known.given) && !same(draft.values, valuesOf(form))) return true;
  forms.set(draft.address, { given: draft.given, name: draft.name, version: draft.version });
  return false;
};

const look = async (form) => {
  if (!drafted(form) || fieldsOf(form).length === 0 || forms.has(addressOf(form))) return;
  const known = knownForm(form);
  const offered = [];
  for (const draft of draftsOf(known.address)) {
    const told = offered.some((each) => same(each.values, draft.values));
    if ((await open(draft, known, form)) && !told) offered.push(draft);
  }
  for (const draft of offered.slice(0, MOST_OFFERED)) if (form.isConnected) offer(draft, form);
};

const lookAtAll = () => {
  for (const form of document.forms) look(form);
};

/* Watch every form of the page, and those that come into it. */
export const watchDrafts = () => {
  if (!template) return;
  document.addEventListener("input", keepSoon);
  document.addEventListener("change", keepSoon);
  document.addEventListener("visibilitychange", keepNow);
  window.addEventListener("pagehide", keepNow);
  document.addEventListener("htmx:after:swap", lookAtAll);
  document.addEventListener("submit", (event) => drafted(event.target) && keep(event.target), true);
  // saved, and led on: what was typed stands in the shop now
  document.addEventListener("htmx:after:request", (event) => {
    const { response, sourceElement, sourceEvent } = event.detail.ctx;
    const form = sourceElement?.closest?.("form");
    if (sourceEvent?.type === "submit" && drafted(form) && response.status === 204)
      dropDraft(knownForm(form).name);
  });
  lookAtAll();
};
