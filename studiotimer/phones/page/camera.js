// The photographer's page: the hero's life left, its ribbon, the next swap, frames, locks.

import { ahead, byId, clock, drawScoop, fill, lightened, make, write, writeLarge } from "./draw.js";

const LOCKS = ["light", "set", "camera"];

export function drawCamera(state, at) {
  const hero = state.hero;
  const stage = hero ? stageAt(hero, at.now) : null;
  const life = byId("life");
  const left = hero && hero.ends !== null ? hero.ends - at.now : null;
  writeLarge(life, at.old ? "" : left === null ? (hero ? "3 h" : "") : clock(left));
  life.hidden = !hero;
  life.style.color = stage ? lightened(stage.colour) : "";
  write(byId("life-label"), hero ? (at.old ? "life left: no longer sure" : "life left") : "no hero on set");
  write(byId("life-words"), hero ? standing(hero, stage, left, at) : "");
  drawScoop(byId("hero-scoop"), hero?.scoop, hero?.flavour);
  drawRibbon(hero, at.now);
  drawStages(hero, at);
  fact("swap", state.swap ? [state.swap.words, when(state.swap.due, at)] : null);
  const frames = state.frames;
  fact("frames", frames ? [framesWords(frames), ""] : null);
  fact("asks", state.cue ? [state.cue.words, when(state.cue.due, at)] : null);
  fill(
    byId("locks"),
    LOCKS.filter((name) => state.locks && name in state.locks),
    (name) => name,
    () => make("li"),
    (row, name) => {
      row.className = state.locks[name] ? "on" : "";
      write(row, state.locks[name] ? `✓ ${name} locked` : `○ ${name} not locked`);
    },
  );
}

function standing(hero, stage, left, at) {
  if (at.old) return hero.ends === null ? "" : `its window was to end at ${at.wall(hero.ends)}`;
  return [stage?.name, windowWords(hero, left, at.now), hero.words].filter(Boolean).join(", ");
}

function windowWords(hero, left, now) {
  if (left !== null && left < 0) return `window ended ${clock(-left)} ago`;
  const opens = (hero.starts ?? now) - now;
  return opens > 0 ? `window opens in ${clock(opens)}` : "in the window";
}

const stageAt = (hero, now) => hero.stages.findLast((one) => one.from <= now) ?? null;
const when = (due, at) => (at.old || (due ?? null) === null ? "" : ahead(due, at.now));

function framesWords({ taken, wanted, last }) {
  return [wanted ? `${taken} of ${wanted}` : String(taken), last ? `last ${last}` : ""].filter(Boolean).join(", ");
}

function fact(id, said) {
  const node = byId(id);
  node.hidden = !said;
  if (said) write(node.lastElementChild, said.filter(Boolean).join(" "));
}

/** The ribbon's stages from the hero's coming to its last change, or half as long again as its window. */
function span(hero) {
  const from = hero.stages[0].from;
  const ends = hero.late ?? hero.ends;
  const last = Math.max(...hero.stages.map((one) => one.from));
  const to = ends === null ? last + 60 : Math.max(from + (ends - from) * 1.3, from + 60);
  return { from, to };
}

function drawRibbon(hero, now) {
  const ribbon = byId("ribbon");
  if (!hero || !hero.stages.length) {
    ribbon.replaceChildren();
    return;
  }
  const { from, to } = span(hero);
  const place = (moment) => `${(Math.min(Math.max((moment - from) / (to - from), 0), 1) * 100).toFixed(2)}%`;
  const shown = hero.stages.filter((one) => one.from < to);
  const key = JSON.stringify([shown, hero.early, hero.late]);
  if (ribbon.dataset.shown !== key || !ribbon.children.length) {
    ribbon.dataset.shown = key;
    ribbon.replaceChildren(
      ...shown.map((one) => {
        const band = make("i");
        band.style.background = one.colour;
        band.style.width = `${((Math.min(one.to ?? to, to) - one.from) / (to - from)) * 100}%`;
        return band;
      }),
      make("span", "past"),
      make("span", "soft"),
      make("span", "at"),
    );
    const soft = ribbon.querySelector(".soft");
    if (hero.early !== null && hero.late !== null) {
      soft.style.left = place(hero.early);
      soft.style.width = `${((Math.min(hero.late, to) - hero.early) / (to - from)) * 100}%`;
    }
    ribbon.setAttribute("aria-label", `Stages: ${shown.map((one) => one.name).join(", ")}`);
  }
  ribbon.querySelector(".past").style.width = place(now);
  ribbon.querySelector(".at").style.left = place(now);
}

function drawStages(hero, at) {
  fill(
    byId("stages"),
    hero ? hero.stages : [],
    (one) => one.name,
    (one) => {
      const row = make("li");
      const dot = make("i");
      row.append(dot, make("span"), make("span", "when"));
      return row;
    },
    (row, one) => {
      row.firstChild.style.background = one.colour;
      write(row.children[1], one.name);
      const to = one.to ?? Infinity;
      write(row.children[2], one.from > at.now ? ` in ${clock(one.from - at.now)}` : to > at.now ? " now" : "");
    },
  );
}
