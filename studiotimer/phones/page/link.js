// The way to the laptop: its clock, its news, and whether they still come.

const SAMPLES = 8;
const CLOCK_S = 4;
const LIVE_S = 2;
export const OLD_S = 10;
const HEAR_MS = 3000;
const SLEPT_MS = 700;

export const sleep = (ms) => new Promise((done) => setTimeout(done, ms));
const mine = () => performance.now() / 1000;

/** What the laptop said no to, with its own sentence; `ended` when this phone is no longer known. */
export class Refused extends Error {
  constructor(status, reply) {
    super(reply.refused || `the laptop answered ${status}`);
    this.status = status;
    this.ended = status === 401;
  }
}

/** Send JSON and return the JSON of the answer; throws Refused, or another error when nothing came back in time. */
export async function send(path, body, { token = "", ms = HEAR_MS, method = "POST" } = {}) {
  const headers = token ? { Authorization: `Bearer ${token}` } : {};
  const asked = { method, headers, cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(ms) };
  if (method === "POST") {
    headers["Content-Type"] = "application/json";
    asked.body = JSON.stringify(body);
  }
  const reply = await fetch(path, asked);
  if (reply.status >= 500 || reply.status === 408) throw new Error(`answered ${reply.status}`);
  const said = await reply.json();
  if (!reply.ok) throw new Refused(reply.status, said);
  return said;
}

export class Link {
  constructor(token, onNews, onEnded) {
    Object.assign(this, { token, onNews, onEnded, state: null, number: 0, heard: null, samples: [], byDate: 0, stopped: false });
    this.lag = Date.now() - performance.now();
  }

  start() {
    this.follow();
    this.keepClock();
    document.addEventListener("visibilitychange", () => document.hidden || this.look());
  }

  stop() {
    this.stopped = true;
  }

  post(path, body, ms) {
    return send(path, body, { token: this.token, ms });
  }

  /** The laptop's steady clock now, in seconds; null before its first answer. */
  now() {
    return this.samples.length ? mine() + this.best().offset : null;
  }

  /** The best guess of that clock, for a call's moment: by the phone's calendar clock where it slept since. */
  moment() {
    return this.now() ?? Date.now() / 1000 + this.byDate;
  }

  /** Half the shortest round trip: the offset is within that. */
  doubt() {
    return this.samples.length ? this.best().trip / 2 : Infinity;
  }

  best() {
    return this.samples.reduce((one, other) => (other.trip < one.trip ? other : one));
  }

  /** Seconds since the laptop's last word, by its own clock. */
  age() {
    return this.heard === null || !this.samples.length ? Infinity : Math.max(this.now() - this.heard, 0);
  }

  live() {
    return this.age() < LIVE_S;
  }

  /** The laptop's time of day at a moment of its steady clock, "10:31:56". */
  wall(steady) {
    if (!this.state) return "";
    const [hours, minutes, seconds] = this.state.wall.split(":").map(Number);
    const whole = Math.floor(hours * 3600 + minutes * 60 + seconds + (this.state.wall_of_steady % 1 || 0) + steady - this.state.steady);
    const day = ((whole % 86400) + 86400) % 86400;
    return [day / 3600, (day / 60) % 60, day % 60].map((part) => String(Math.floor(part)).padStart(2, "0")).join(":");
  }

  /** Forget the clock where this phone slept: its own steady clock may have stood still meanwhile. */
  look() {
    const lag = Date.now() - performance.now();
    if (Math.abs(lag - this.lag) > SLEPT_MS) this.samples = [];
    this.lag = lag;
  }

  async keepClock() {
    while (!this.stopped) {
      this.look();
      const few = this.samples.length < 4;
      await this.measure();
      await sleep(few ? 60 : this.doubt() > 0.08 ? 800 : CLOCK_S * 1000);
    }
  }

  async measure() {
    const from = mine();
    try {
      const { steady } = await this.post("/clock", {}, HEAR_MS);
      const trip = mine() - from;
      this.samples = [...this.samples, { trip, offset: steady + trip / 2 - mine() }].slice(-SAMPLES);
      this.byDate = this.now() - Date.now() / 1000;
    } catch (error) {
      this.failed(error);
      await sleep(300);
    }
  }

  async follow() {
    let pause = 100;
    while (!this.stopped) {
      try {
        const news = await send(`/news?after=${this.number}`, null, { token: this.token, method: "GET" });
        this.heard = news.steady;
        pause = 100;
        if (!news.same) {
          this.state = news;
          this.number = news.number;
        }
        if (!this.stopped) this.onNews(!news.same);
      } catch (error) {
        this.failed(error);
        this.number = 0;
        await sleep(pause);
        pause = Math.min(pause * 2, 800);
      }
    }
  }

  failed(error) {
    if (error.ended && !this.stopped) {
      this.stop();
      this.onEnded(error.message);
    }
  }
}
