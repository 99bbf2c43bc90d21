// The phone's page: pairs, follows the laptop's news, draws them, makes calls.

import { Calls } from "./calls.js";
import { byId, drawCalls, pressable, settle, span, whenCalled, write } from "./draw.js";
import { drawCamera } from "./camera.js";
import { drawFreezer, drawSheet } from "./freezer.js";
import { Link, OLD_S } from "./link.js";
import { pair } from "./pairing.js";
import { buzz, canSound, hush, keepAwake, ring, signalWords, unlock } from "./signals.js";

let secret = "";
takeSecret();

const DRAW_MS = 50;
const TUCKED_PX = 76;
const AGAIN_MS = 20000;
const MOST_RINGS = 3;
const rung = new Map();
let ringing = null;
let unseen;
let link;
let calls;
let page = "freezer";
let wasLive = null;
let told;
let drawing;

/** Take the secret of a scanned code out of the address, at once. */
function takeSecret() {
  if (!location.hash) return;
  secret = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
}

function show(screen) {
  for (const id of ["pair", "asked", "ended", "live"]) byId(id).hidden = id !== screen;
}

function end(title, words) {
  for (const dialog of document.querySelectorAll("dialog[open]")) dialog.close();
  show("ended");
  write(byId("ended-title"), title);
  write(byId("ended-words"), words);
  const list = byId("ended-kept");
  list.replaceChildren();
  for (const item of calls?.kept ?? []) {
    const row = document.createElement("li");
    row.textContent = `Not sent: ${item.title}, ${item.wall}. Say it at the set.`;
    list.append(row);
  }
}

function begin(token) {
  show("live");
  link = new Link(token, news, (words) => {
    sessionStorage.removeItem("token");
    end("This phone is no longer paired", words);
  });
  calls = new Calls(link, draw, ask);
  whenCalled(
    (call, at) => {
      unlock();
      if (call.kind === "more") {
        openSheet("tubs");
        return;
      }
      byId("sheet").close();
      calls.make(call, link.moment() - (performance.now() - at) / 1000);
    },
    (call) => calls.stateOf(call),
    () => calls.tapAgain(),
  );
  link.start();
  keepAwake().then(draw);
  clearInterval(drawing);
  drawing = setInterval(draw, DRAW_MS);
}

function news(changed) {
  if (changed) {
    const first = link.state.cue;
    if (first && first.id !== told) write(byId("said"), first.words);
    told = first?.id;
  }
  draw();
  if (calls.kept.length) calls.goThrough();
}

/** Ring for the cue that sounds, again while nobody has seen it, and no longer than it does at the laptop. */
function signal(cue) {
  if (cue !== ringing) hush();
  ringing = cue;
  const { times = 0, at = -AGAIN_MS } = rung.get(cue) ?? {};
  if (!cue || times >= MOST_RINGS || performance.now() - at < AGAIN_MS) return;
  rung.set(cue, { times: times + 1, at: performance.now() });
  ring();
}

function draw() {
  if (!link?.state || byId("live").hidden) return;
  const state = link.state;
  const age = link.age();
  if (link.live()) signal(state.sound?.cue ?? null);
  const now = link.now() ?? state.steady;
  const old = age >= OLD_S;
  drawHead(state, now, age);
  byId("freezer").hidden = page !== "freezer";
  byId("camera").hidden = page !== "camera";
  const at = { now, old, unseen, wall: (steady) => link.wall(steady), see, ask: openSheet };
  if (page === "freezer") drawFreezer(state, at);
  else drawCamera(state, at);
  byId("calls-part").hidden = !state.calls.length;
  drawCalls(byId("calls"), state.calls);
  if (byId("sheet").open) drawSheet(state, at);
  drawFoot(state);
  drawLast();
  settle();
}

function drawHead(state, now, age) {
  const live = age < 2;
  const old = age >= OLD_S;
  const root = byId("live");
  const moved = root.classList.contains("old") !== old;
  root.classList.toggle("stale", !live);
  root.classList.toggle("old", old);
  const since = link.wall(link.heard ?? state.steady);
  write(byId("live-word"), live ? "live" : old ? "not live since" : `not live since ${since}`);
  write(byId("shot"), state.shot || state.title);
  write(byId("wall"), link.wall(now));
  write(byId("since"), since);
  const heard = Number.isFinite(age) ? `No news for ${span(age)}. ` : "";
  write(byId("ago"), `${heard}Ask at the set. This page goes on by itself.`);
  byId("off-words").hidden = !old;
  byId("hush").hidden = canSound();
  if (moved) byId("head").style.top = old ? `${TUCKED_PX - byId("head").offsetHeight}px` : "";
  if (wasLive !== live) {
    write(byId("said"), live ? "live" : `not live since ${since}`);
    if (wasLive && !live) buzz([80]);
    wasLive = live;
  }
}

function drawFoot(state) {
  const list = byId("freezers");
  const words = JSON.stringify(state.freezers ?? []);
  if (list.dataset.shown !== words) {
    list.dataset.shown = words;
    list.replaceChildren(
      ...(state.freezers ?? []).map(({ name, words: said, warm }) => {
        const row = document.createElement("li");
        const figure = document.createElement("b");
        figure.textContent = said;
        row.className = warm ? "warm" : "";
        row.append(warm ? `▲ ${name} ` : `${name} `, figure, warm ? " too warm" : "");
        return row;
      }),
    );
  }
  write(byId("caution"), state.caution);
  write(byId("hear").querySelector(".detail"), canSound() ? "sound is on" : "sound is off: tap");
  write(byId("other").querySelector(".title"), page === "freezer" ? "To the camera’s page" : "To the freezer’s page");
  write(byId("awake"), signalWords());
  write(byId("who"), `This phone: ${sessionStorage.getItem("name") || "unnamed"}, ${rightWords(state.rights)}.`);
}

function rightWords(rights) {
  const words = { watch: "may look only", assistant: "may pull and move scoops", everything: "may make every call" };
  return words[rights] ?? rights;
}

function drawLast() {
  const last = calls.lastShown();
  const node = byId("last");
  node.dataset.state = last?.state ?? "none";
  write(byId("last-word"), !last ? "No call from this phone yet." : last.state === "on_disk" ? "✓ on disk" : last.word);
  write(byId("last-words"), last ? [last.words, last.wall].filter(Boolean).join(", ") : "");
  if (last && node.dataset.told !== last.id + last.state) {
    node.dataset.told = last.id + last.state;
    if (last.state !== "was") write(byId("called"), `${last.word}: ${last.words}`);
    if (last.state === "on_disk") buzz([40]);
    if (last.state === "soon") buzz([30, 60, 30]);
    if (last.state === "refused" || last.state === "kept") buzz([60, 80, 60, 80, 60]);
  }
  const kept = calls.kept.length;
  byId("last-kept").hidden = !kept;
  write(byId("last-kept"), `${kept} ${kept === 1 ? "call" : "calls"} not sent; asked about when live.`);
}

function see(cue) {
  unlock();
  hush();
  unseen = null;
  link.post("/seen", { cue: cue.id }).catch((error) => {
    unseen = cue.id;
    link.failed(error);
  });
}

function openSheet(what) {
  const sheet = byId("sheet");
  sheet.dataset.what = what;
  if (!sheet.open) sheet.showModal();
  draw();
}

/** Ask what a kept call is: another of what was logged meanwhile (true), to be dropped (false), or asked about later. */
function ask(item, reply) {
  const dialog = byId("question");
  const same = (reply.same ?? null) !== null;
  write(byId("question-title"), `Not sent: ${item.title}, ${item.wall}`);
  write(byId("question-words"), reply.asks);
  write(byId("question-same").querySelector(".title"), same ? "The same: drop mine" : "Drop it");
  write(byId("question-another").querySelector(".title"), same ? "Another: log it" : "Log it");
  dialog.showModal();
  draw();
  buzz([120, 80, 120]);
  return new Promise((answer) => {
    dialog.answer = (another) => {
      answer(another);
      dialog.close();
    };
  });
}

function wire() {
  const question = byId("question");
  question.addEventListener("cancel", (event) => event.preventDefault());
  question.addEventListener("close", () => question.answer?.(null));
  pressable(byId("question-same"), () => question.answer(false));
  pressable(byId("question-another"), () => question.answer(true));
  pressable(byId("sheet-close"), () => byId("sheet").close());
  byId("hear").addEventListener("click", () => {
    unlock();
    setTimeout(() => {
      ring();
      draw();
    }, 60);
    keepAwake();
  });
  byId("other").addEventListener("click", () => {
    page = page === "freezer" ? "camera" : "freezer";
    sessionStorage.setItem("page", page);
    scrollTo(0, 0);
    draw();
  });
  addEventListener("pointerdown", unlock, { once: true });
}

function paired(answer, chosen) {
  sessionStorage.setItem("token", answer.token);
  sessionStorage.setItem("name", answer.name);
  sessionStorage.setItem("page", chosen);
  page = chosen;
  begin(answer.token);
}

function open() {
  const token = sessionStorage.getItem("token");
  page = sessionStorage.getItem("page") || "freezer";
  if (secret) show("pair");
  else if (token) begin(token);
  else end("Not paired", "This page shows nothing before it is paired.");
}

wire();
pair(() => secret, show, end, paired);
addEventListener("hashchange", () => {
  takeSecret();
  link?.stop();
  open();
});
open();
