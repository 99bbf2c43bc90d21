// Calls: made at once while the laptop is live, kept and asked about while it is not. Only "on disk" is green.

import { Refused, sleep } from "./link.js";

const AGAIN_MS = 4000;
const TRY_MS = 2500;
const BOUNCE_MS = 700;
const GREEN_MS = 6000;
const SOON_MS = 2000;
const TOO_OLD_MS = 12 * 3600 * 1000;
const MOST_KEPT = 50;
const KEPT = "studiotimer calls not sent";

const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (one) => one.toString(16).padStart(2, "0")).join("");
export const keyOf = (call) => JSON.stringify([call.kind, call.fields]);
export const wordsOf = (call) => [call.title, call.detail].filter(Boolean).join(", ");

function read() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) || "[]");
    return kept.filter((one) => Date.now() - one.tapped < TOO_OLD_MS);
  } catch {
    return [];
  }
}

export class Calls {
  /** `changed` is told of every change; `ask` shows one question: true is another, false the same, null no answer. */
  constructor(link, changed, ask) {
    Object.assign(this, { link, changed, ask, last: null, disk: null, soon: -Infinity, kept: read(), asking: false });
    this.states = new Map();
  }

  /** Take a tap at a moment of the laptop's steady clock. */
  async make(call, at) {
    const key = keyOf(call);
    const before = this.states.get(key);
    if (before && (before.state === "sending" || performance.now() - before.since < BOUNCE_MS)) return;
    const item = { id: newId(), kind: call.kind, fields: call.fields, title: call.says ?? wordsOf(call), at, wall: this.link.wall(at), tapped: Date.now() };
    if (!this.link.live()) {
      this.keep(item);
      return;
    }
    this.show(item, "sending", "sending");
    await this.deliver(item);
  }

  async deliver(item) {
    const until = performance.now() + AGAIN_MS;
    while (performance.now() < until) {
      try {
        this.settle(item, await this.link.post("/call", this.body(item), TRY_MS));
        return;
      } catch (error) {
        if (this.refused(item, error)) return;
        if (error.ended) break;
        await sleep(150);
      }
    }
    this.keep(item);
  }

  body({ id, kind, fields, at }, more = {}) {
    return { id, kind, fields, at, ...more };
  }

  refused(item, error) {
    if (!(error instanceof Refused) || error.ended || error.status === 429) return false;
    this.show(item, "refused", "not logged", error.message);
    return true;
  }

  settle(item, reply) {
    if (reply.on_disk) this.show(item, "on_disk", "on disk", reply.words, reply.wall);
    else if (reply.asks) this.keep(item);
    else this.show(item, "refused", "not logged", reply.refused || "");
  }

  /** Keep a call that could not be sent; it is asked about once the laptop is live again. */
  keep(item) {
    if (!this.kept.some((one) => one.id === item.id)) this.kept.push(item);
    this.kept = this.kept.slice(-MOST_KEPT);
    this.save();
    this.show(item, "kept", "not sent");
  }

  save() {
    try {
      localStorage.setItem(KEPT, JSON.stringify(this.kept));
    } catch {
      // a browser without storage keeps them as long as the page is open
    }
  }

  drop(item) {
    this.kept = this.kept.filter((one) => one.id !== item.id);
    this.save();
  }

  /** Ask about each kept call, oldest first; nothing of them is logged without an answer. */
  async goThrough() {
    if (this.asking) return;
    this.asking = true;
    try {
      while (this.kept.length && this.link.live() && (await this.settleLate(this.kept[0])));
    } catch (error) {
      if (error.ended) this.link.failed(error);
      else await sleep(500);
    } finally {
      this.asking = false;
      this.changed();
    }
  }

  /** Ask about one kept call; returns whether it is settled. */
  async settleLate(item) {
    let reply = await this.late(item);
    if (reply && reply.asks) {
      const another = await this.ask(item, reply);
      if (another === null) return false;
      if (!another) {
        this.drop(item);
        this.show(item, "dropped", "not sent, dropped", item.title);
        return true;
      }
      reply = await this.late(item, { another: true });
    }
    this.drop(item);
    if (reply) this.settle(item, reply);
    return true;
  }

  async late(item, more = {}) {
    try {
      return await this.link.post("/call", this.body(item, { late: true, ...more }), TRY_MS);
    } catch (error) {
      if (this.refused(item, error)) return null;
      throw error;
    }
  }

  show(item, state, word, words = item.title, wall = item.wall) {
    const now = performance.now();
    this.soon = -Infinity;
    this.last = { id: item.id, state, word, words, wall, since: now };
    if (state === "on_disk") this.disk = this.last;
    this.states.set(keyOf(item), { state, word, since: now });
    this.changed();
  }

  /** Say that a tap was not taken: what it met had only just come under the finger. */
  tapAgain() {
    this.soon = performance.now();
    this.changed();
  }

  /** What a target shows of its own call: green only for a while. */
  stateOf(call) {
    const shown = this.states.get(keyOf(call));
    return shown && (shown.state === "sending" || performance.now() - shown.since < GREEN_MS) ? shown : null;
  }

  /** The last call as the foot of the page tells it. */
  lastShown() {
    if (performance.now() - this.soon < SOON_MS) return { id: this.soon, state: "soon", word: "Tap again", words: "that had only just come to stand there" };
    const last = this.last;
    if (last && last.state !== "on_disk") return last;
    if (last && performance.now() - last.since < GREEN_MS) return last;
    return this.disk ? { ...this.disk, state: "was", word: "Last call on disk" } : null;
  }
}
