/* No answer came to a form that was sent: the page says so, and finds out by itself whether it was saved.
   The form's token is what the program is asked by. What is said in each state stands in base.html. */

const template = document.getElementById("no-answer");

// Seconds to wait before asking once more; the last one holds from then on.
const PAUSES = [0.5, 1, 2, 4, 8, 15, 30];
const PATIENCE = 10_000;

const pause = (turn) => new Promise((done) => setTimeout(done, PAUSES[Math.min(turn, PAUSES.length - 1)] * 1000));

// What the program says of the token; null where it does not answer either.
const ask = async (token) => {
  try {
    const answer = await fetch(`${template.dataset.asked}${encodeURIComponent(token)}`, {
      signal: AbortSignal.timeout(PATIENCE),
    });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
};

const show = (message, state, address) => {
  for (const words of message.querySelectorAll("[data-state]")) {
    words.hidden = !words.dataset.state.split(" ").includes(state);
  }
  const led = message.querySelector("[data-led]");
  led.hidden = !address;
  if (address) led.href = address;
};

// Ask until it is known, or until the message was taken away.
const findOut = async (message, token) => {
  for (let turn = 0; ; turn += 1) {
    await pause(turn);
    if (!message.isConnected) return;
    const told = await ask(token);
    if (!message.isConnected) return;
    if (told) {
      show(message, told.saved ? "saved" : "not-saved", told.address);
      return;
    }
    show(message, "silent");
  }
};

/* Put the message into `messages`; `sent` is the body of the request that got no answer, null where nothing
   was to be saved by it. */
export const sayNoAnswer = (messages, sent) => {
  const message = template.content.firstElementChild.cloneNode(true);
  const token = sent?.get("token");
  show(message, token ? "asking" : sent ? "untold" : "nothing");
  messages.replaceChildren(message);
  if (token) findOut(message, token);
};
