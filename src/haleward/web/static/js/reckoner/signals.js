// Signals by tone and by sight. With the sound off or no sound at all, the flash and the words say the same.
const PITCH = { tone: 880, low: 523, high: 1175 };
const SOUND = "haleward-reckoner-sound";
let context = null;

export const soundOn = () => sessionStorage.getItem(SOUND) !== "off";
export const setSound = (on) => sessionStorage.setItem(SOUND, on ? "on" : "off");

/** To be called while a button is being pressed: browsers let sound begin only then. */
export function readySound() {
  if (!("AudioContext" in window)) { return; }
  context ??= new AudioContext();
  if (context.state === "suspended") { context.resume(); }
}

/** `count` short tones, the first `inMs` from now, timed by the sound hardware itself. */
export function tones(count = 1, { inMs = 0, pitch = "tone", everyMs = 220 } = {}) {
  if (!context || context.state !== "running" || !soundOn()) { return; }
  for (let number = 0; number < count; number += 1) {
    const at = context.currentTime + Math.max(0, inMs + number * everyMs) / 1000;
    const voice = context.createOscillator();
    const level = context.createGain();
    voice.frequency.value = PITCH[pitch];
    level.gain.setValueAtTime(0, at);
    level.gain.linearRampToValueAtTime(0.5, at + 0.01);
    level.gain.linearRampToValueAtTime(0, at + 0.16);
    voice.connect(level).connect(context.destination);
    voice.start(at);
    voice.stop(at + 0.18);
  }
}

/** Mark the clock for a moment so that a signal is seen. */
export function flash(element, kind = "once") {
  element.dataset.flash = kind;
  setTimeout(() => { if (element.dataset.flash === kind) { delete element.dataset.flash; } }, 450);
}
