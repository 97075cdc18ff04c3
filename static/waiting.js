/* A page that waits for the program: as soon as it answers again, the page that was wanted is opened. */

const waits = document.querySelector("[data-wait-for]");
const PAUSE = 400;
const PATIENCE = 5_000;

const answers = async (address) => {
  try {
    const answer = await fetch(address, { signal: AbortSignal.timeout(PATIENCE) });
    return answer.ok;
  } catch {
    return false;
  }
};

const wait = async (address) => {
  do {
    await new Promise((done) => setTimeout(done, PAUSE));
  } while (!(await answers(address)));
  location.replace(address);
};

if (waits) wait(waits.dataset.waitFor);
