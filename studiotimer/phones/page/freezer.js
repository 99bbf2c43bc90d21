// The assistant's page: what to fetch now, the cue after it, tubs, the line.

import { wordsOf } from "./calls.js";
import { ahead, byId, clock, drawCalls, drawScoop, fill, make, pressable, wear, write, writeLarge } from "./draw.js";

const LONG = 11;
const LATE_S = 5;

export function drawFreezer(state, at) {
  drawCue(state, at);
  fill(
    byId("then"),
    state.then,
    (cue) => String(cue.id),
    () => {
      const row = make("li");
      row.append(make("b"), make("span", "when"));
      return row;
    },
    (row, cue) => {
      const name = cue.flavour && cue.words.endsWith(` ${cue.scoop}`) ? ` ${cue.flavour.name}` : "";
      write(row.firstChild, `then ${cue.words}${name}`);
      write(row.lastChild, cue.due === null ? "" : ahead(cue.due, at.now));
    },
  );
  drawTubs(state);
  drawLine(state, at);
}

function drawCue(state, at) {
  const cue = state.cue;
  writeLarge(byId("cue-verb"), cue ? cue.verb : state.holding ? "On hold" : "Nothing to fetch now");
  byId("cue-verb").classList.toggle("long", byId("cue-verb").textContent.length > LONG);
  drawDue(cue, at);
  drawScoop(byId("cue-scoop"), cue?.scoop, cue?.flavour);
  const from = cue ? [cue.from, cue.from?.includes(cue.slot) ? "" : cue.slot].filter(Boolean).join(" ") : "";
  const way = cue ? [from, cue.to].filter(Boolean).join(" → ") : "";
  const bare = cue && !cue.flavour && (cue.scoop ?? null) === null && !way;
  writeLarge(byId("cue-way"), bare ? cue.words : way);
  write(byId("cue-late"), at.old || !cue ? "" : lateWords(cue, at.now));
  byId("acts").hidden = !cue;
  if (cue) drawActs(cue, at);
}

function lateWords(cue, now) {
  const since = (cue.due ?? null) !== null && now - cue.due > LATE_S ? `due ${clock(now - cue.due)} ago` : "";
  return [since, cue.late_words === "now" ? "" : cue.late_words].filter(Boolean).join(", ");
}

function drawDue(cue, at) {
  const time = byId("cue-time");
  const due = cue ? (cue.due ?? null) : null;
  const now = due !== null && !at.old && due - at.now < 1;
  time.classList.toggle("now", now);
  if (due === null) writeLarge(time, "");
  else if (at.old) writeLarge(time, `was due at ${at.wall(due)}`);
  else writeLarge(time, ahead(due, at.now));
  if (now && time.dataset.told !== String(cue.id)) {
    time.dataset.told = String(cue.id);
    write(byId("called"), `${cue.words} now`);
  }
}

function drawActs(cue, at) {
  const acts = byId("acts");
  let seen = acts.querySelector(".seen");
  if (!seen) {
    acts.append(make("div", "call"));
    seen = make("button", "target plain seen");
    seen.type = "button";
    seen.append(make("span", "title", "Seen"), make("span", "detail"));
    pressable(seen, () => at.see(seen.cue));
    acts.append(seen);
  }
  seen.cue = cue;
  seen.dataset.key = `seen ${cue.id}`;
  write(seen.lastChild, cue.seen ? "✓ the set knows" : at.unseen === cue.id ? "not told: say it" : "not a call");
  const call = acts.querySelector(".call");
  drawCalls(call, cue.call ? [{ ...cue.call, role: "strong" }] : []);
  call.hidden = !cue.call;
}

function drawTubs(state) {
  const pulls = state.tubs.filter((tub) => tub.calls.length);
  byId("tubs-part").hidden = !pulls.length;
  write(byId("next"), state.next_number ? `next is ${state.next_number}` : "");
  const direct = pulls.map((tub) => {
    const [first] = tub.calls;
    if (first.role !== "flavour") return null;
    const left = tub.left === null ? "" : `${tub.left} left${tub.low ? "\u00a0▲" : ""}`;
    return { ...first, says: wordsOf(first), title: tub.flavour.name, detail: [first.detail, left].filter(Boolean).join(", "), colour: tub.flavour.colour };
  });
  const others = pulls.some((tub) => tub.calls.length > 1 || tub.calls[0].role !== "flavour");
  const shown = [...direct.filter(Boolean), ...(others ? [{ kind: "more", fields: {}, title: "More on tubs", detail: "tray, out, finished", role: "away" }] : [])];
  drawCalls(byId("tubs"), shown);
}

function drawLine(state, at) {
  byId("line-part").hidden = !state.line.length;
  fill(
    byId("line"),
    state.line,
    (one) => `scoop ${one.scoop}`,
    (one) => {
      const tile = make("button", "target flavour tile");
      tile.type = "button";
      tile.append(make("span", "number"), make("span", "name"), make("span", "detail"));
      return pressable(tile, () => at.ask(`scoop ${one.scoop}`));
    },
    (tile, one) => {
      const [number, name, detail] = tile.children;
      write(number, String(one.scoop));
      write(name, one.flavour.name);
      write(detail, lineWords(one, at));
      tile.classList.toggle("long", one.flavour.name.split(" ").some((word) => word.length > LONG));
      tile.disabled = !one.calls.length;
      wear(tile, one.flavour.colour);
      tile.style.background = "var(--flavour)";
      tile.style.color = "var(--on)";
    },
  );
}

/** Where a waiting scoop is, and for how long it could be shot if it were placed now. */
function lineWords(one, at) {
  const place = one.words || [one.place, one.slot].filter(Boolean).join(" ");
  const known = !at.old && (one.opens ?? null) !== null && (one.ends ?? null) !== null;
  return known ? `${place}, ${clock(one.ends - one.opens)} to shoot` : place;
}

/** What the sheet shows: one scoop's calls, or all calls of the tubs. */
export function drawSheet(state, at) {
  const what = byId("sheet").dataset.what;
  const scoop = state.line.find((one) => `scoop ${one.scoop}` === what);
  if (scoop) {
    write(byId("sheet-title"), `${scoop.scoop} ${scoop.flavour.name}`);
    write(byId("sheet-words"), lineWords(scoop, at));
    drawCalls(byId("sheet-calls"), scoop.calls);
  } else if (what === "tubs") {
    write(byId("sheet-title"), "Tubs");
    write(byId("sheet-words"), "");
    const all = state.tubs.flatMap((tub) =>
      tub.calls.map((call) => ({ ...call, colour: tub.flavour.colour, detail: [tub.flavour.name, call.detail].filter(Boolean).join(", ") })),
    );
    drawCalls(byId("sheet-calls"), all);
  } else {
    write(byId("sheet-words"), "It is no longer in the line.");
    drawCalls(byId("sheet-calls"), []);
  }
}
