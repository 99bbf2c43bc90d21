// Pairing: a secret from the code, a name, a question on the laptop.

import { byId, write } from "./draw.js";
import { Refused, send, sleep } from "./link.js";
import { keepAwake, unlock } from "./signals.js";

const WAIT_MS = 60000;
const UNREACHED =
  "The laptop does not answer. It may be this Wi-Fi’s guest isolation, a firewall on the laptop, or another network on this phone. A hotspot of your own helps.";

/** Wait for a name, ask the laptop, and hand over what it answers. */
export function pair(secret, show, end, paired) {
  byId("pairing").addEventListener("submit", async (event) => {
    event.preventDefault();
    unlock();
    keepAwake();
    const page = event.submitter?.value || "freezer";
    const name = byId("name").value.trim();
    const buttons = [...byId("pairing").querySelectorAll("button")];
    buttons.forEach((button) => (button.disabled = true));
    say("pair-words", "");
    try {
      const { ticket } = await send("/pair", { secret: secret(), name }, { ms: 10000 });
      show("asked");
      write(byId("asked-name"), name);
      const answer = await wait(ticket);
      if (answer.answer === "yes") paired(answer, page);
      else end("No", answer.words || "The laptop said no.");
    } catch (error) {
      if (error instanceof Refused && error.status !== 429 && error.status !== 400) end("Not paired", error.message);
      else {
        show("pair");
        say("pair-words", error instanceof Refused ? error.message : UNREACHED);
      }
    } finally {
      buttons.forEach((button) => (button.disabled = false));
    }
  });
}

function say(id, words) {
  byId(id).hidden = !words;
  write(byId(id), words);
}

async function wait(ticket) {
  let heard = performance.now();
  for (;;) {
    try {
      const answer = await send("/pair/answer", { ticket }, { ms: 25000 });
      heard = performance.now();
      say("asked-words", "");
      if (answer.answer !== "asked") return answer;
    } catch (error) {
      if (error instanceof Refused || performance.now() - heard > WAIT_MS) throw error;
      say("asked-words", "The laptop cannot be reached just now; this page tries again.");
      await sleep(500);
    }
  }
}
