// What a person hears and feels, and the screen that stays on.

let context = null;
let voice = null;
let rings = 0;
const BUZZ = [250, 120, 250];
const RINGS_MS = 1500;

/** Let this page sound; browsers allow it only out of a tap. */
export function unlock() {
  const Context = window.AudioContext || window.webkitAudioContext;
  if (!Context) return;
  context ||= new Context();
  if (context.state !== "running") context.resume().catch(() => {});
}

export const canSound = () => Boolean(context) && context.state === "running";

/** Three rising notes, twice: heard over a fan. Returns whether they sound. */
export function sound() {
  if (!canSound()) return false;
  const begin = context.currentTime + 0.02;
  voice = context.createGain();
  voice.connect(context.destination);
  [659, 880, 1175, 659, 880, 1175].forEach((pitch, index) => {
    const from = begin + index * 0.16 + (index > 2 ? 0.2 : 0);
    const note = context.createOscillator();
    const level = context.createGain();
    note.type = "triangle";
    note.frequency.value = pitch;
    level.gain.setValueAtTime(0, from);
    level.gain.linearRampToValueAtTime(0.7, from + 0.01);
    level.gain.exponentialRampToValueAtTime(0.001, from + 0.16);
    note.connect(level).connect(voice);
    note.start(from);
    note.stop(from + 0.17);
  });
  return true;
}

export function buzz(pattern) {
  if (navigator.vibrate) navigator.vibrate(pattern);
}

/** Sound and buzz for a cue. */
export function ring() {
  rings = performance.now() + RINGS_MS;
  sound();
  buzz(BUZZ);
}

/** End the sound and the buzz of a cue at once. */
export function hush() {
  voice?.disconnect();
  if (performance.now() < rings) buzz(0);
  rings = 0;
}

let lock = null;
let lockWords = "";

/** Ask for the screen to stay on, again each time the page is seen anew. */
export async function keepAwake() {
  const own = "Set the phone so that its screen stays on by itself.";
  if (!navigator.wakeLock) {
    lockWords = own;
  } else if (!document.hidden && (!lock || lock.released)) {
    try {
      lock = await navigator.wakeLock.request("screen");
      lockWords = "The screen is kept on.";
    } catch {
      lockWords = `The screen may go dark. ${own}`;
    }
  }
}

document.addEventListener("visibilitychange", () => {
  if (lock && !document.hidden) keepAwake();
});

/** What can be heard here and what not, in sentences. */
export const signalWords = () => `${lockWords} A locked phone hears nothing, and one set to silent may not.`.trim();
