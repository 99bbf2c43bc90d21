// Parts of the page: words, targets, scoops, times. Everything a person wrote becomes text, never markup.

import { keyOf } from "./calls.js";

export const byId = (id) => document.getElementById(id);
const INK = "#12171a";
const CREAM = "#f4ede0";
const SETTLE_MS = 600;
const MOVED_PX = 20;

/** Write text where it differs. */
export function write(node, text) {
  const words = text ?? "";
  if (node.textContent !== words) node.textContent = words;
}

export function make(tag, className = "", text = "") {
  const node = document.createElement(tag);
  node.className = className;
  if (text) node.textContent = text;
  return node;
}

/** Seconds as m:ss, hours as "1 h 05". */
export function clock(seconds) {
  const whole = Math.max(Math.floor(seconds + 1e-6), 0);
  if (whole >= 3600) return `${Math.floor(whole / 3600)} h ${String(Math.floor((whole % 3600) / 60)).padStart(2, "0")}`;
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

export const ahead = (due, now) => (due - now < 1 ? "now" : `in ${clock(due - now)}`);

/** A span of time in words. */
export function span(seconds) {
  const whole = Math.floor(seconds);
  return whole < 60 ? `${whole} s` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
}

function parts(colour) {
  const digits = /^#([0-9a-f]{6})$/i.exec(colour || "")?.[1] ?? "27323a";
  return [0, 2, 4].map((at) => parseInt(digits.slice(at, at + 2), 16));
}

function luminance(rgb) {
  const [red, green, blue] = rgb.map((part) => (part <= 10 ? part / 3294.6 : ((part / 255 + 0.055) / 1.055) ** 2.4));
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function contrast(one, other) {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}

const hex = (rgb) => `#${rgb.map((part) => Math.round(part).toString(16).padStart(2, "0")).join("")}`;

/** A colour with as little white in it as it takes to stand out 7:1 from ink. */
export function lightened(colour) {
  const given = parts(colour);
  for (let share = 0; share <= 1; share += 0.02) {
    const mixed = given.map((part) => part + (255 - part) * share);
    if (contrast(mixed, parts(INK)) >= 7) return hex(mixed);
  }
  return CREAM;
}

/** Have a node wear a flavour's colour, as it is where cream stands out on it, else light enough for ink. */
export function wear(node, colour) {
  const ground = parts(colour);
  const dark = contrast(ground, parts(CREAM)) >= 7;
  node.style.setProperty("--flavour", dark ? hex(ground) : lightened(colour));
  node.style.setProperty("--on", dark ? CREAM : INK);
}

const longest = (text) => Math.max(...text.split(/\s+/).map((word) => word.length), 1);

/** Write large words that get smaller where they are long, so that nothing is cut. */
export function writeLarge(node, text) {
  if (node.textContent === (text ?? "")) return;
  write(node, text);
  node.style.setProperty("--len", String(Math.max((text || "").length, 4)));
  node.style.setProperty("--word", String(longest(text || "")));
}

/** Draw a scoop: its number and its flavour. Hidden where there is neither. */
export function drawScoop(node, scoop, flavour) {
  node.hidden = (scoop ?? null) === null && !flavour;
  if (node.hidden) return;
  node.classList.toggle("bare", (scoop ?? null) === null);
  write(node.querySelector(".number"), (scoop ?? null) === null ? "" : String(scoop));
  const name = node.querySelector(".name");
  const words = flavour?.name ?? "";
  writeLarge(name, words);
  name.style.setProperty("--most", words.length > 30 ? "22px" : words.length > 18 ? "26px" : "32px");
  wear(node, flavour?.colour);
}

/** Have a list's children be those of `items`, each known by its key, kept where it was already there. */
export function fill(list, items, key, born, update) {
  const there = new Map([...list.children].map((node) => [node.dataset.key, node]));
  let next = list.firstElementChild;
  for (const item of items) {
    const name = key(item);
    let node = there.get(name);
    if (node) there.delete(name);
    else {
      node = born(item);
      node.dataset.key = name;
    }
    if (node === next) next = next.nextElementSibling;
    else list.insertBefore(node, next);
    update(node, item);
  }
  for (const node of there.values()) node.remove();
}

let onCall = () => {};
let stateOf = () => null;
let onTooSoon = () => {};

/** Say what a tap on a call does, what a call's target shows, and what is done about a tap that came too soon. */
export function whenCalled(taken, shown, tooSoon) {
  [onCall, stateOf, onTooSoon] = [taken, shown, tooSoon];
}

const places = new WeakMap();
let fingerDown = 0;
addEventListener("pointerdown", () => (fingerDown = performance.now()), { capture: true, passive: true });

/** When a click's finger came down, by this page's clock; a key has none. */
const tappedAt = ({ detail }) => (detail && performance.now() - fingerDown < 1000 ? fingerDown : performance.now());

/** Note which targets have moved: a tap on one that only just came under the finger is not meant for it. */
export function settle() {
  for (const node of document.querySelectorAll(".target")) {
    const { left, top } = node.getBoundingClientRect();
    const place = { left, top: top + (node.closest("dialog")?.scrollTop ?? scrollY), what: node.dataset.key };
    const was = places.get(node);
    const stays = was && was.what === place.what && Math.abs(was.left - place.left) + Math.abs(was.top - place.top) < MOVED_PX;
    places.set(node, { ...place, since: stays ? was.since : performance.now() });
  }
}

/** Have a node do something when it is pressed, unless it only just came to stand there. */
export function pressable(node, doing) {
  node.addEventListener("click", (event) => {
    const at = tappedAt(event);
    if (at - (places.get(node)?.since ?? 0) < SETTLE_MS) onTooSoon(node);
    else doing(at);
  });
  return node;
}

function newTarget() {
  const node = make("button", "target");
  node.type = "button";
  node.append(make("span", "title"), make("span", "detail"));
  return pressable(node, (at) => onCall(node.call, at));
}

function drawTarget(node, call) {
  node.call = call;
  const shown = stateOf(call);
  node.className = `target ${call.role || "plain"}${longest(call.title) > 11 ? " long" : ""}`;
  node.dataset.state = shown?.state ?? "";
  write(node.querySelector(".title"), call.title);
  write(node.querySelector(".detail"), shown ? (shown.state === "on_disk" ? "✓ on disk" : shown.word) : call.detail);
  if (call.colour) {
    wear(node, call.colour);
    node.style.background = "var(--flavour)";
    node.style.color = "var(--on)";
  }
}

/** Draw calls as targets. */
export function drawCalls(list, calls) {
  fill(list, calls, (call) => keyOf(call), newTarget, drawTarget);
}
