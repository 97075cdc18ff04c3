/* At the machine with script: one set-up at a time, and ticks that are kept on the device until the program has them
   (tick_store.js).

   A tick is {uuid, set_up, piece, count, at}; its uuid is made here, so it is booked once however often it is
   sent. What takes a tick back has the same uuid with version 8 in place of 4, and the count below 0.
   crypto.randomUUID is not there on plain http in a local network; crypto.getRandomValues is. */
(function () {
  "use strict";

  var shop = document.querySelector("[data-shop]");
  if (!shop) return;

  var AT_ONCE = Math.min(200, Number(shop.dataset.most));
  var PATIENCE = 15000, POLL = 15000, FIRST_RETRY = 2000, LAST_RETRY = 60000, UNNOTICED = 1500;
  var address = shop.dataset.send;
  var store = window.tickStore(address);
  var sections = Array.from(shop.querySelectorAll("[data-set-up]"));
  var rows = Array.from(shop.querySelectorAll("[data-row]")).map(function (element) {
    return {
      element: element,
      keys: JSON.parse(element.dataset.row),
      setUp: element.closest("[data-set-up]").dataset.setUp,
      quantity: Number(element.dataset.quantity),
      name: element.dataset.name
    };
  });

  // --- ticks --------------------------------------------------------------------------------------

  var booked = new Map(), seen = Number(shop.dataset.seen);
  learn(JSON.parse(shop.dataset.ledger));

  function learn(list) {
    list.forEach(function (one) {
      booked.set(one[0], {uuid: one[0], set_up: one[1], piece: one[2], count: one[3]});
    });
  }

  function newUuid() {
    var bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    var text = Array.from(bytes, function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
    return [text.slice(0, 8), text.slice(8, 12), text.slice(12, 16), text.slice(16, 20), text.slice(20)].join("-");
  }

  function undoOf(uuid) {
    return uuid.slice(0, 14) + "8" + uuid.slice(15);
  }

  // a tablet whose clock fell back is still not before the page that it was sent
  function moment() {
    return new Date(Math.max(Date.now(), Date.parse(shop.dataset.moment) + performance.now())).toISOString();
  }

  // the ticks that stand: those the program has, then those that wait
  function standing() {
    var all = new Map(booked);
    store.waiting().forEach(function (tick) { if (!all.has(tick.uuid)) all.set(tick.uuid, tick); });
    return Array.from(all.values()).filter(function (tick) { return tick.count > 0 && !all.has(undoOf(tick.uuid)); });
  }

  function isFor(tick, row) {
    return tick.set_up === row.setUp && row.keys.includes(tick.piece);
  }

  function done(row, ticks) {
    var most = Math.max.apply(null, row.keys.map(function (key) {
      return ticks.reduce(function (sum, tick) {
        return sum + (tick.set_up === row.setUp && tick.piece === key ? tick.count : 0);
      }, 0);
    }));
    return Math.min(most, row.quantity);
  }

  function rowOf(element) {
    return rows.find(function (row) { return row.element === element.closest("[data-row]"); });
  }

  // this device's own last tick at the set-up; without one, whoever's was last
  function lastAt(setUp, ticks) {
    var ours = store.ours();
    var here = ticks.filter(function (tick) { return tick.set_up === setUp && rows.some(function (row) { return isFor(tick, row); }); });
    var own = here.filter(function (tick) { return ours.includes(tick.uuid); });
    return own.length ? own[own.length - 1] : here[here.length - 1];
  }

  function book(tick) {
    store.keep(tick);
    show();
    exchange();
  }

  function takeBack(tick) {
    if (!tick) return;
    book({uuid: undoOf(tick.uuid), set_up: tick.set_up, piece: tick.piece, count: -tick.count, at: moment()});
    var row = rows.find(function (each) { return isFor(tick, each); });
    if (row) say(row);
  }

  shop.addEventListener("submit", function (event) {
    var form = event.target, ticks = standing();
    event.preventDefault();
    if (form.matches("[data-tick]")) {
      var row = rowOf(form), rest = row.quantity - done(row, ticks);
      var count = event.submitter && event.submitter.matches("[data-all]") ? rest : 1;
      if (rest < 1) return;
      book({uuid: newUuid(), set_up: row.setUp, piece: row.keys[0], count: count, at: moment()});
      say(row);
      keepFocus(row);
    } else if (form.matches("[data-back]")) {
      var back = rowOf(form);
      takeBack(ticks.filter(function (tick) { return isFor(tick, back); }).pop());
      keepFocus(back);
    } else if (form.matches("[data-undo]")) {
      takeBack(lastAt(form.closest("[data-set-up]").dataset.setUp, ticks));
      if (document.activeElement === document.body) heading(current()).focus({preventScroll: true});
    }
  });

  // a button that is gone must not leave the keyboard nowhere
  function keepFocus(row) {
    if (document.activeElement !== document.body && document.activeElement.getClientRects().length) return;
    var section = row.element.closest("[data-set-up]");
    var next = row.element.querySelector("[data-tick] button:not([hidden])") || section.querySelector("[data-tick] button:not([hidden])");
    (next || section.querySelector("[data-next]") || heading(section)).focus();
  }

  // --- what is shown ------------------------------------------------------------------------------

  function show() {
    var ticks = standing(), all = 0, open = 0;
    rows.forEach(function (row) {
      row.done = done(row, ticks);
      all += row.done;
      var rest = row.quantity - row.done, part = row.element;
      part.classList.toggle("is-done", !rest);
      part.querySelector("[data-done]").textContent = row.done;
      part.querySelector("[data-rest]").textContent = rest;
      part.querySelector("[data-one]").hidden = !rest;
      part.querySelector("[data-all]").hidden = rest < 2;
      part.querySelector("[data-take]").hidden = !ticks.some(function (tick) { return isFor(tick, row); });
    });
    sections.forEach(function (section) { open += showSection(section, ticks) ? 0 : 1; });
    shop.querySelectorAll("[data-last]").forEach(function (words) { words.hidden = open > 0; });
    var total = shop.querySelector("[data-all-done]");
    if (total) total.textContent = all;
    shop.querySelector("[data-progress]").value = all;
    showLink();
  }

  function showSection(section, ticks) {
    var theirs = rows.filter(function (row) { return row.setUp === section.dataset.setUp; });
    var sum = theirs.reduce(function (so, row) { return so + row.done; }, 0);
    var most = theirs.reduce(function (so, row) { return so + row.quantity; }, 0);
    var finished = sum === most, next = section.querySelector("[data-next]");
    section.querySelector("[data-finished]").hidden = !finished;
    if (next) next.classList.toggle("button-quiet", !finished);
    shop.querySelector("[data-listed='" + section.dataset.setUp + "']").textContent = finished ? "done" : sum + " of " + most;
    var last = lastAt(section.dataset.setUp, ticks);
    var row = last && theirs.find(function (each) { return isFor(last, each); });
    section.querySelector("[data-undo-button]").hidden = !row;
    section.querySelector("[data-undo-what]").textContent = row ? row.name : "";
    section.complete = finished;
    return finished;
  }

  function say(row) {
    shop.querySelector("[data-said]").textContent = row.name + ": " + row.done + " of " + row.quantity;
  }

  function current() {
    return sections.find(function (section) { return !section.hidden; });
  }

  function heading(section) {
    return section.querySelector("h2");
  }

  function turnTo(number) {
    sections.forEach(function (section) { section.hidden = Number(section.dataset.number) !== number; });
  }

  function asked() {
    var found = /^#set-up-(\d+)$/.exec(location.hash);
    return found && sections[Number(found[1]) - 1] ? Number(found[1]) : 0;
  }

  shop.addEventListener("click", function (event) {
    var link = event.target.closest("[data-go]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    turnTo(Number(link.dataset.go));
    window.scrollTo(0, 0);
    var list = link.closest("details");
    if (list) list.open = false;
    heading(current()).focus({preventScroll: true});
  });

  window.addEventListener("hashchange", function () { if (asked()) turnTo(asked()); });

  // --- the exchange with the program --------------------------------------------------------------

  var busy = false, again = false, failing = false, refusal = "", timer = 0, wait = FIRST_RETRY, since = 0;

  function exchange() {
    if (busy) { again = true; return; }
    clearTimeout(timer);
    var ticks = store.waiting().slice(0, AT_ONCE);
    if (navigator.onLine === false) { failed(); return; }
    busy = true;
    again = false;
    if (ticks.length && !since) {
      since = Date.now();
      setTimeout(showLink, UNNOTICED + 50);
    }
    var stop = new AbortController(), patience = setTimeout(function () { stop.abort(); }, PATIENCE);
    fetch(address + (address.includes("?") ? "&" : "?") + "after=" + seen, {
      method: ticks.length ? "POST" : "GET",
      headers: ticks.length ? {"Content-Type": "application/json"} : {},
      body: ticks.length ? JSON.stringify(ticks) : undefined,
      cache: "no-store",
      signal: stop.signal
    }).then(function (response) {
      return response.json().then(function (answer) { return received(response.status, answer); });
    }).catch(function () {
      return failed;
    }).then(function (next) {
      clearTimeout(patience);
      busy = false;
      next();
    });
  }

  // what to do next
  function received(status, answer) {
    if (status === 404 || status === 422) {
      refusal = answer.error;
      return failed;
    }
    if (status !== 200) return failed;
    learn(answer.ticks);
    seen = Math.max(seen, answer.seen);
    var gone = answer.gone || [];
    if (gone.length) tellGone(gone, answer.message);
    else if (answer.sheet !== shop.dataset.sheet) tellChanged();
    store.letGo((answer.booked || []).concat(gone));
    return went;
  }

  function went() {
    failing = false;
    refusal = "";
    since = 0;
    wait = FIRST_RETRY;
    show();
    if (again || store.waiting().length) exchange();
    else timer = setTimeout(exchange, POLL);
  }

  function failed() {
    failing = true;
    show();
    timer = setTimeout(exchange, wait);
    wait = Math.min(2 * wait, LAST_RETRY);
  }

  function showLink() {
    var link = shop.querySelector("[data-link]"), count = store.waiting().length, words = "All ticks are saved";
    var waits = count > 0 && (failing || Date.now() - since > UNNOTICED);
    if (waits) words = (count === 1 ? "1 tick waits" : count + " ticks wait") + " to be sent";
    else if (failing) words = "No connection: ticks are kept here";
    else if (count) words = link.textContent;
    if (failing && !store.lasts) words += ". Leave this page open: this browser keeps nothing";
    if (refusal) words = refusal + (count ? " " + words + "." : "");
    link.classList.toggle("waits", waits);
    if (link.textContent !== words) link.textContent = words;
  }

  function tellGone(uuids, message) {
    var names = store.waiting().filter(function (tick) { return uuids.includes(tick.uuid) && tick.count > 0; }).map(function (tick) {
      var row = rows.find(function (each) { return isFor(tick, each); });
      return (row ? row.name : tick.piece) + " (" + tick.count + ")";
    });
    banner(message + (names.length ? " Not booked: " + names.join("; ") + "." : ""));
  }

  function tellChanged() {
    if (shop.querySelector("[data-banner]").hidden) {
      banner("The project was changed since this page was opened. What is ticked is kept; load the sheet again to go on with the new one.");
    }
  }

  function banner(words) {
    shop.querySelector("[data-banner-words]").textContent = words;
    shop.querySelector("[data-banner]").hidden = false;
  }

  window.addEventListener("online", function () { wait = FIRST_RETRY; exchange(); });
  window.addEventListener("offline", function () { failing = true; showLink(); });
  window.addEventListener("storage", show);
  document.addEventListener("visibilitychange", function () { if (!document.hidden) { wait = FIRST_RETRY; exchange(); } });

  show();
  if (sections.length) {
    var first = sections.find(function (section) { return !section.complete; }) || sections[sections.length - 1];
    turnTo(asked() || Number(first.dataset.number));
  }
  exchange();
})();
