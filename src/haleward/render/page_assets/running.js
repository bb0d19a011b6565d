// What plays against the clock: a set, a walk, a stretch of the warm-up. Everything shown follows from the position.
import { announce } from "./dom.js";
import { pauseClock, positionOf, rateClock, resumeClock, startClock } from "./clock.js";

const QUIET = new Set(["move_out", "move_back", "start_3", "hold"]); // shown and voiced, not announced each time
const RATES = [1, 0.75, 0.6]; // from the signed tempo to slower; nobody is hurried beyond what was signed

export const lastOf = (cues, at, kinds) => cues.findLast((cue) => kinds.includes(cue.kind) && cue.start_ms <= at);

export const clockText = (ms) => {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
};

/** Change a text only when it differs: a text set again makes the page lay itself out again. */
export const put = (element, text) => {
  if (element.textContent !== text) element.textContent = text;
};

/** The share of a repetition at a moment of a movement that goes round and round at its tempo. */
export function loopShare({ out_s, pause_s, back_s }, position) {
  const at = position % ((out_s + pause_s + back_s) * 1000);
  if (at < out_s * 1000) return (at / (out_s * 1000)) * 0.5;
  if (at < (out_s + pause_s) * 1000) return 0.5;
  return 0.5 + ((at - (out_s + pause_s) * 1000) / (back_s * 1000)) * 0.5;
}

/**
 * The run of the block at hand. `draw(position)` shows one moment; `finish()` comes after the last one;
 * `changed(running)` hears of pause and going on. The clock of `voice` drives it, which is that of the sound where
 * there is one.
 */
export function makeRun(context, { draw, finish, changed }) {
  const { voice, words } = context;
  const block = context.block();
  const spoken = block.cues.map((one, place) => [one, place]).filter(([one]) => one.kind === "say" || one.kind === "count");
  let said = -1;
  let handle = 0;
  let wakes = 0;

  const clock = () => context.place.clock;
  const keep = (value, more = {}) => {
    context.place = { ...context.place, clock: value, ...more };
    context.save();
    changed(value.running);
  };
  const sayFrom = (at) => {
    const { rate } = clock();
    const found = spoken.findLast(([one]) => one.start_ms <= at + (clock().running ? voice.ahead * rate : 0));
    if (!found || found[1] <= said) return;
    said = found[1];
    voice.say(found[0].text, rate, (found[0].start_ms - at) / rate);
    if (found[0].kind === "say" && !QUIET.has(found[0].wording_key)) announce(context.shown(found[0].text));
  };
  const tick = () => {
    const position = positionOf(clock(), voice.now());
    if (position >= block.length_ms) {
      stop();
      finish();
      return;
    }
    draw(position);
    sayFrom(position + block.start_ms);
  };
  const frame = () => {
    tick();
    if (handle !== null) handle = requestAnimationFrame(frame);
  };
  const stop = () => {
    cancelAnimationFrame(handle);
    clearInterval(wakes);
    handle = null;
  };
  const pause = () => {
    if (!clock().running) return false;
    keep(pauseClock(clock(), voice.now()));
    voice.quiet();
    announce(words("paused_line"));
    return true;
  };
  const turn = (step) => {
    const place = Math.max(0, Math.min(RATES.length - 1, RATES.indexOf(clock().rate) + step));
    keep(rateClock(clock(), voice.now(), RATES[place]), { rate: RATES[place] });
  };
  return {
    start: () => {
      keep(clock() ?? startClock(voice.now(), context.place.rate ?? 1));
      frame();
      if (handle !== null) wakes = setInterval(tick, 1000); // animation frames stop in a hidden page; the time does not
    },
    stop,
    pause,
    resume: () => keep(resumeClock(clock(), voice.now())),
    running: () => clock().running,
    slower: () => turn(1),
    quicker: () => turn(-1),
    slowest: () => clock().rate === RATES.at(-1),
    usual: () => clock().rate === RATES[0],
  };
}
