/* Drafts of forms, kept in the browser: they outlive the page, the tab, the browser and a restart of the computer.

   Each opening of a form has a draft of its own, so that two windows with one form do not write over each other.
   What is old goes, and the oldest where there are many. */

const PREFIX = "dovetally draft ";
const KEPT_DAYS = 30;
const MOST = 40;
const MOST_LETTERS = 200_000;
const DAY = 86_400_000;

const parsed = (text) => {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
};

const names = () => {
  try {
    return Object.keys(localStorage).filter((name) => name.startsWith(PREFIX));
  } catch {
    return []; // a browser may refuse to keep anything
  }
};

export const dropDraft = (name) => {
  try {
    localStorage.removeItem(name);
  } catch {}
};

// Every draft that is kept, the newest first; what nobody can use any more is dropped on the way.
const all = () => {
  const found = names().map((name) => ({ ...parsed(localStorage.getItem(name)), name }));
  for (const { name, at } of found) if (!(at > Date.now() - KEPT_DAYS * DAY)) dropDraft(name);
  return found.filter(({ at }) => at > Date.now() - KEPT_DAYS * DAY).sort((one, other) => other.at - one.at);
};

/* The drafts of the form at an address, the newest first. */
export const draftsOf = (address) => all().filter((draft) => draft.address === address);

/* A name for the draft of a form that was just opened. */
export const newName = () =>
  `${PREFIX}${Date.now().toString(36)}-${crypto.getRandomValues(new Uint32Array(1))[0]}`;

/* Keep a draft under its name; the oldest others make room. A draft too long to keep is not begun. */
export const keepDraft = (name, draft) => {
  const text = JSON.stringify({ ...draft, at: Date.now() });
  if (text.length > MOST_LETTERS) return;
  const others = all().filter((each) => each.name !== name);
  for (const each of others.slice(MOST - 1)) dropDraft(each.name);
  for (let tries = others.length; tries >= 0; tries -= 1) {
    try {
      localStorage.setItem(name, text);
      return;
    } catch {
      if (tries > 0) dropDraft(others[tries - 1].name);
    }
  }
};
