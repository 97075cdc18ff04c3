/* Ticks that wait to be sent, kept on the device: they outlive the tab, the browser and a restart.

   Each lies in the browser's storage under a name of its own, in the order in which they were made, so that two
   windows of one device cannot lose each other's. `tickStore(address)` has those that go to that address. */
(function () {
  "use strict";

  var OURS_KEPT = 300;

  function lasting() {
    try {
      localStorage.setItem("dovetally try", "1");
      localStorage.removeItem("dovetally try");
    } catch (refused) {
      return null;
    }
    return {
      names: function () { return Object.keys(localStorage); },
      read: function (name) { return localStorage.getItem(name); },
      write: function (name, text) { localStorage.setItem(name, text); },
      drop: function (name) { localStorage.removeItem(name); },
      lasts: true
    };
  }

  function passing() {
    var memory = {};
    return {
      names: function () { return Object.keys(memory); },
      read: function (name) { return memory[name] || null; },
      write: function (name, text) { memory[name] = text; },
      drop: function (name) { delete memory[name]; },
      lasts: false
    };
  }

  function parsed(text) {
    try { return JSON.parse(text); } catch (broken) { return null; }
  }

  window.tickStore = function (address) {
    var queue = "dovetally tick " + address + " ", own = "dovetally ours " + address;
    var keeper = lasting() || passing();

    function names() {
      return keeper.names().filter(function (name) { return name.startsWith(queue); }).sort();
    }

    // the uuids of the ticks that were made here last, sent or not
    function ours() {
      var found = parsed(keeper.read(own));
      return Array.isArray(found) ? found : [];
    }

    return {
      lasts: keeper.lasts,
      ours: ours,

      // what is not ours to read is left alone
      waiting: function () {
        return names().map(function (name) { return parsed(keeper.read(name)); }).filter(function (tick) {
          return tick && typeof tick.uuid === "string" && Number.isInteger(tick.count);
        });
      },

      keep: function (tick) {
        var last = names().pop(), number = last ? parseInt(last.slice(queue.length), 10) || 0 : 0;
        keeper.write(queue + String(number + 1).padStart(9, "0") + " " + tick.uuid, JSON.stringify(tick));
        keeper.write(own, JSON.stringify(ours().concat(tick.uuid).slice(-OURS_KEPT)));
      },

      letGo: function (uuids) {
        names().forEach(function (name) { if (uuids.includes(name.slice(-36))) keeper.drop(name); });
      }
    };
  };
})();
