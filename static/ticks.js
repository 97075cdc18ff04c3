/* At the machine with script: one set-up at a time, and ticks that are kept on the device until the program has them.

   A tick is {uuid, set_up, piece, count, at}; its uuid is made here, so it is booked once however often it is
   sent. What takes a tick back has the same uuid with version 8 in place of 4, and the count below 0.

   An import cannot carry the mark of a file's content, as static_url's addresses do: a map from the one to the other
   would be inline script, which the policy forbids. So what is imported goes by its plain name, which the browser
   asks for again every time and mostly is told "not modified" (webapp/site/static_files.py). */

import { drawSetUp } from "./set_up_pictures.js";
import { TickExchange } from "./tick_exchange.js";
import { TickStore } from "./tick_store.js";

const MOST_AT_ONCE = 200;

const shop = document.querySelector("[data-shop]");
const sections = [...shop.querySelectorAll("[data-set-up]")];
const rows = [...shop.querySelectorAll("[data-row]")].map((element) => ({
  element,
  keys: JSON.parse(element.dataset.row),
  setUp: sectionOf(element).dataset.setUp,
  quantity: Number(element.dataset.quantity),
  name: element.dataset.name,
  done: 0,
}));

const booked = new Map();
const store = new TickStore(shop.dataset.send);
const exchange = new TickExchange({
  address: shop.dataset.send,
  store,
  atOnce: Math.min(MOST_AT_ONCE, Number(shop.dataset.most)),
  seen: Number(shop.dataset.seen),
  onAnswer: hear,
  onChange: show,
  onWaiting: showLink,
});

// --- ticks ------------------------------------------------------------------------------------------------------

function learn(ledger) {
  for (const [uuid, set_up, piece, count] of ledger) booked.set(uuid, { uuid, set_up, piece, count });
}

// crypto.randomUUID is not there on plain http in a local network; crypto.getRandomValues is
function newUuid() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const text = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return text.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

const undoOf = (uuid) => `${uuid.slice(0, 14)}8${uuid.slice(15)}`;

// a tablet whose clock fell back is still not before the page that it was sent
function moment() {
  const earliest = Date.parse(shop.dataset.moment) + performance.now();
  return new Date(Math.max(Date.now(), earliest)).toISOString();
}

// the ticks that stand: those the program has, then those that wait
function standing() {
  const all = new Map(booked);
  for (const tick of store.waiting()) {
    if (!all.has(tick.uuid)) all.set(tick.uuid, tick);
  }
  return [...all.values()].filter((tick) => tick.count > 0 && !all.has(undoOf(tick.uuid)));
}

const isFor = (tick, row) => tick.set_up === row.setUp && row.keys.includes(tick.piece);

const rowFor = (tick) => rows.find((row) => isFor(tick, row));

const rowOf = (element) => rows.find((row) => row.element === element.closest("[data-row]"));

const sum = (numbers) => numbers.reduce((total, number) => total + number, 0);

// a row that stands for several keys, those of an older sheet too, has as many done as the key with the most
function countDone(row, ticks) {
  const theirs = ticks.filter((tick) => isFor(tick, row));
  const counts = row.keys.map((key) => sum(theirs.filter((tick) => tick.piece === key).map((tick) => tick.count)));
  return Math.min(Math.max(...counts), row.quantity);
}

// this device's own last tick at the set-up; without one, whoever's was last
function lastAt(setUp, ticks) {
  const ours = store.ours();
  const here = ticks.filter((tick) => tick.set_up === setUp && rowFor(tick));
  return here.filter((tick) => ours.includes(tick.uuid)).at(-1) ?? here.at(-1);
}

function book(tick) {
  store.keep({ ...tick, at: moment() });
  show();
  exchange.run();
}

// "all" or a number, of which no more than are left are booked
function tickOff(row, wanted) {
  const rest = row.quantity - countDone(row, standing());
  if (rest < 1) return;
  const count = wanted === "all" ? rest : Math.min(rest, wanted);
  book({ uuid: newUuid(), set_up: row.setUp, piece: row.keys[0], count });
  say(row);
  keepFocus(row);
}

function takeBack(tick) {
  if (!tick) return;
  book({ uuid: undoOf(tick.uuid), set_up: tick.set_up, piece: tick.piece, count: -tick.count });
  const row = rowFor(tick);
  if (row) say(row);
}

function takeBackLastOf(row) {
  takeBack(
    standing()
      .filter((tick) => isFor(tick, row))
      .at(-1),
  );
  keepFocus(row);
}

function undoLastAt(section) {
  takeBack(lastAt(section.dataset.setUp, standing()));
  if (document.activeElement === document.body) focusHeading();
}

const wantedBy = (button) => (button?.matches("[data-all]") ? "all" : Number(button?.value) || 1);

shop.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  if (form.matches("[data-tick]")) tickOff(rowOf(form), wantedBy(event.submitter));
  else if (form.matches("[data-back]")) takeBackLastOf(rowOf(form));
  else if (form.matches("[data-undo]")) undoLastAt(sectionOf(form));
});

// --- what is shown ----------------------------------------------------------------------------------------------

function sectionOf(element) {
  return element.closest("[data-set-up]");
}

// a button that is gone must not leave the keyboard nowhere
function keepFocus(row) {
  const held = document.activeElement;
  if (held !== document.body && held.getClientRects().length) return;
  const section = sectionOf(row.element);
  const open = "[data-tick] button:not([hidden])";
  const next =
    row.element.querySelector(open) ?? section.querySelector(open) ?? section.querySelector("[data-next]");
  (next ?? heading(section)).focus();
}

function show() {
  const ticks = standing();
  for (const row of rows) showRow(row, ticks);
  for (const section of sections) showSection(section, ticks);
  const all = sum(rows.map((row) => row.done));
  const total = shop.querySelector("[data-all-done]");
  if (total) total.textContent = all;
  shop.querySelector("[data-progress]").value = all;
  for (const words of shop.querySelectorAll("[data-last]")) words.hidden = !sections.every(isFinished);
  showLink();
}

function showRow(row, ticks) {
  row.done = countDone(row, ticks);
  const rest = row.quantity - row.done;
  const find = (name) => row.element.querySelector(name);
  row.element.classList.toggle("is-done", !rest);
  find("[data-done]").textContent = row.done;
  find("[data-rest]").textContent = rest;
  find("[data-one]").hidden = !rest;
  find("[data-all]").hidden = rest < 2;
  const handful = find("[data-handful]");
  if (handful) handful.hidden = rest <= Number(handful.value);
  const last = ticks.filter((tick) => isFor(tick, row)).at(-1);
  find("[data-take]").hidden = !last;
  find("[data-take-count]").textContent = last?.count > 1 ? last.count : "";
}

const rowsIn = (section) => rows.filter((row) => row.setUp === section.dataset.setUp);

const isFinished = (section) => rowsIn(section).every((row) => row.done === row.quantity);

function showSection(section, ticks) {
  const finished = isFinished(section);
  section.querySelector("[data-finished]").hidden = !finished;
  section.querySelector("[data-next]")?.classList.toggle("button-quiet", !finished);
  shop.querySelector(`[data-listed='${section.dataset.setUp}']`).textContent = finished
    ? "done"
    : progress(section);
  const last = lastAt(section.dataset.setUp, ticks);
  section.querySelector("[data-undo-button]").hidden = !last;
  section.querySelector("[data-undo-what]").textContent = last ? undoWords(last) : "";
}

// as undo_words in webapp/pages/machine/shop_rows.py
function undoWords(tick) {
  const { name } = rowFor(tick);
  return tick.count === 1 ? name : `${tick.count} of ${name}`;
}

function progress(section) {
  const theirs = rowsIn(section);
  return `${sum(theirs.map((row) => row.done))} of ${sum(theirs.map((row) => row.quantity))}`;
}

function say(row) {
  shop.querySelector("[data-said]").textContent = `${row.name}: ${row.done} of ${row.quantity}`;
}

// --- one set-up at a time ---------------------------------------------------------------------------------------

const heading = (section) => section.querySelector("h2");

function focusHeading() {
  const shown = sections.find((section) => !section.hidden);
  heading(shown).focus({ preventScroll: true });
}

function turnTo(number) {
  for (const section of sections) section.hidden = Number(section.dataset.number) !== number;
  drawSetUp(sections.find((section) => !section.hidden));
}

// the set-up that the address asks for; 0 for none
function asked() {
  const number = Number(/^#set-up-(\d+)$/.exec(location.hash)?.[1]);
  return sections[number - 1] ? number : 0;
}

shop.addEventListener("click", (event) => {
  const link = event.target.closest("[data-go]");
  // with such a key held one wants a new window or tab
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  turnTo(Number(link.dataset.go));
  window.scrollTo(0, 0);
  link.closest("details")?.removeAttribute("open");
  focusHeading();
});

window.addEventListener("hashchange", () => {
  if (asked()) turnTo(asked());
});

// --- what the program says --------------------------------------------------------------------------------------

function hear(answer) {
  learn(answer.ticks);
  if (answer.gone?.length) tellGone(answer.gone, answer.message);
  else if (answer.sheet !== shop.dataset.sheet) tellChanged();
}

function linkWords(waits, count, before) {
  if (waits) return `${count === 1 ? "1 tick waits" : `${count} ticks wait`} to be sent`;
  if (exchange.failing) return "No connection: ticks are kept here";
  return count ? before : "All ticks are saved";
}

function showLink() {
  const link = shop.querySelector("[data-link]");
  const count = store.waiting().length;
  const waits = count > 0 && exchange.isSlow;
  let words = linkWords(waits, count, link.textContent);
  if (exchange.failing && !store.lasts) words += ". Leave this page open: this browser keeps nothing";
  if (exchange.refusal) words = exchange.refusal + (count ? ` ${words}.` : "");
  link.classList.toggle("waits", waits);
  // the same words set again would be read aloud again
  if (link.textContent !== words) link.textContent = words;
}

function tellGone(uuids, message) {
  const lost = store.waiting().filter((tick) => uuids.includes(tick.uuid) && tick.count > 0);
  const names = lost.map((tick) => `${rowFor(tick)?.name ?? tick.piece} (${tick.count})`);
  banner(message + (names.length ? ` Not booked: ${names.join("; ")}.` : ""));
}

function tellChanged() {
  if (!shop.querySelector("[data-banner]").hidden) return;
  banner(
    "The project was changed since this page was opened. What is ticked is kept; load the sheet again to go on with the new one.",
  );
}

function banner(words) {
  shop.querySelector("[data-banner-words]").textContent = words;
  shop.querySelector("[data-banner]").hidden = false;
}

// --- from the start ---------------------------------------------------------------------------------------------

learn(JSON.parse(shop.dataset.ledger));
window.addEventListener("storage", show);
show();
if (sections.length) {
  const first = sections.find((section) => !isFinished(section)) ?? sections.at(-1);
  turnTo(asked() || Number(first.dataset.number));
}
// from here on the script says which set-up is seen; until then the stylesheet has shown the one to go on with
shop.classList.add("is-worked");
exchange.start();
