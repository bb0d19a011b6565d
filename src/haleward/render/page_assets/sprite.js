// A recorded voice: one sound that holds every sentence. Its clock drives figure and counts, so that they keep together.

const soundBytes = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
const LATE_S = 0.3; // a sentence may end before the next begins, if that is no later than this
const AHEAD_MS = 250;
const DRIFT_MS = 250; // a locked phone stops the sound's clock; after that the page's clock is right

/**
 * The recorded voice, with the device's own until it has arrived and for what was not recorded; functions as in voice.js.
 * The recording stands at the end of the page, so that nobody waits for it.
 */
export function makeSpriteVoice(device) {
  const places = new Map();
  const sound = new AudioContext();
  let recording = null;
  let playing = [];
  let until = 0; // when what is being said ends
  let base = 0;

  const running = () => sound.state === "running";
  const setBase = () => {
    const own = base + sound.currentTime * 1000;
    if (!base || Math.abs(Date.now() - own) > DRIFT_MS) base = Date.now() - sound.currentTime * 1000;
  };
  const silence = () => {
    for (const one of playing) one.stop();
    playing = [];
    until = 0;
    device.quiet();
  };
  const load = async () => {
    const sprite = JSON.parse(document.getElementById("sprite").textContent);
    recording = await sound.decodeAudioData(soundBytes(sprite.audio).buffer);
    for (const [text, from, length] of sprite.sentences) places.set(text, [from / 1000, length / 1000]);
  };
  const play = (texts, delay) => {
    const wanted = sound.currentTime + Math.max(0, delay) / 1000;
    if (until - wanted > LATE_S) silence();
    let at = Math.max(wanted, until);
    for (const text of texts) {
      const [from, length] = places.get(text);
      const source = new AudioBufferSourceNode(sound, { buffer: recording });
      source.connect(sound.destination);
      source.start(at, from, length);
      playing.push(source);
      until = at + length;
      at = until + 0.5;
    }
  };

  sound.addEventListener("statechange", setBase);
  document.addEventListener("visibilitychange", setBase);
  for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, () => running() || sound.resume());
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", load);
  else load();

  return {
    get available() { return true; },
    get on() { return device.on; },
    turn: (wanted) => {
      if (!wanted) silence();
      device.turn(wanted);
    },
    /** How long before its moment a sentence should be given, to begin exactly then. [ms] */
    get ahead() { return recording && running() ? AHEAD_MS : 0; },
    say: (said, rate = 1, delay = 0) => {
      const texts = [said].flat().filter(Boolean);
      if (!device.on || !texts.length) return;
      if (recording && running() && texts.every((text) => places.has(text))) {
        play(texts, delay);
        return;
      }
      silence();
      device.say(said, rate);
    },
    quiet: silence,
    now: () => (running() && base ? base + sound.currentTime * 1000 : Date.now()),
  };
}
