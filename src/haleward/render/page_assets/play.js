// A set or a walk: the sheet's cues against the clock. Everything shown follows from the position in the block.
import { announce, button, el, show } from "./dom.js";
import { pauseClock, positionOf, rateClock, resumeClock, startClock } from "./clock.js";
import { setOf } from "./context.js";
import { movementControls } from "./controls.js";
import { movingFigure } from "./moving.js";

const SLOWER = 0.75;
const QUIET = new Set(["move_out", "move_back", "start_3", "hold"]); // shown and voiced, not announced each time

const lastOf = (cues, at, kinds) => cues.findLast((cue) => kinds.includes(cue.kind) && cue.start_ms <= at);

const shareOf = (cue, at) => {
  if (!cue) return 0;
  const within = Math.min(1, (at - cue.start_ms) / Math.max(1, cue.length_ms));
  return cue.pose_from + (cue.pose_to - cue.pose_from) * within;
};

const clockText = (ms) => {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
};

/** The large figure of a set: the repetition, the seconds left of a hold, or the time left of a walk. */
const bigNumber = (block, exercise, at, position) => {
  if (block.kind === "walk") return clockText(block.length_ms - position);
  if (exercise.hold_s) {
    const cue = lastOf(block.cues, at, ["show"]);
    const holding = cue && cue.pose_from === cue.pose_to && at < cue.start_ms + cue.length_ms;
    return holding ? String(Math.ceil((cue.start_ms + cue.length_ms - at) / 1000)) : "";
  }
  const count = lastOf(block.cues, at, ["count"]);
  return count ? String(count.repetition) : "";
};

/** Play the block at hand. */
export function playScreen(context, flow) {
  const { words, voice } = context;
  const block = context.block();
  const exercise = context.exercise();
  const walking = block.kind === "walk";
  const sides = [...new Set(block.cues.map((cue) => cue.side).filter(Boolean))];
  const figures = new Map((sides.length ? sides : [""]).map((side) => [side, movingFigure(context, { side })]));
  const stage = el("div", { class: "two-stage" });
  const count = el("p", { class: walking ? "count time" : "count", "aria-hidden": "true" });
  const side = el("p", { class: "side" });
  const cue = el("p", { class: "cue" });
  const breath = el("p", { class: "breath" });
  let side_now = null;
  let said = -1;
  let handle = 0;
  let wakes = 0;

  const clock = () => context.place.clock;
  const keep = (value) => {
    context.place = { ...context.place, clock: value };
    context.save();
    pauseButton.textContent = words(value.running ? "pause_button" : "ready_button");
    pauseButton.classList.toggle("main", !value.running);
    paused.hidden = value.running;
  };
  const sayFrom = (at) => {
    const index = block.cues.findLastIndex((one) => (one.kind === "say" || one.kind === "count") && one.start_ms <= at);
    if (index <= said) return;
    said = index;
    const one = block.cues[index];
    voice.say(one.text, clock().rate);
    if (one.kind === "say" && !QUIET.has(one.wording_key)) announce(one.text);
  };
  const finish = () => {
    stop();
    const reps = block.cues.findLast((one) => one.kind === "count")?.repetition ?? null;
    context.place.sets_done = (context.place.sets_done ?? 0) + 1;
    flow.next();
    context.log("set", { ...setOf(block, exercise), repetitions: reps });
  };
  const showSide = (name) => {
    if (name === side_now) return;
    side_now = name;
    const figure = figures.get(name) ?? figures.values().next().value;
    stage.replaceChildren(figure.element);
    figure.redraw();
    side.textContent = name ? words(`side_${name}`) : "";
  };
  const draw = (position) => {
    const at = position + block.start_ms;
    showSide(block.cues.findLast((one) => one.side && one.start_ms <= at)?.side ?? sides[0] ?? "");
    (figures.get(side_now) ?? figures.values().next().value).draw(shareOf(lastOf(block.cues, at, ["show"]), at));
    count.textContent = bigNumber(block, exercise, at, position);
    cue.textContent = lastOf(block.cues, at, ["say"])?.text ?? "";
    breath.textContent = lastOf(block.cues, at, ["breathe"])?.text ?? exercise.breathing;
    sayFrom(at);
  };
  const tick = () => {
    const position = positionOf(clock(), Date.now());
    if (position >= block.length_ms) return finish();
    draw(position);
  };
  const frame = () => {
    tick();
    if (handle !== null) handle = requestAnimationFrame(frame);
  };
  const stop = () => {
    cancelAnimationFrame(handle);
    clearInterval(wakes);
    handle = null;
    for (const each of figures.values()) each.stop();
  };
  const pause = () => {
    if (!clock().running) return;
    keep(pauseClock(clock(), Date.now()));
    voice.quiet();
    announce(words("paused_line"));
    context.log("pause", { ...setOf(block, exercise), paused: true });
  };
  const toggle = () => {
    if (clock().running) return pause();
    keep(resumeClock(clock(), Date.now()));
    context.log("pause", { ...setOf(block, exercise), paused: false });
  };
  const slower = () => {
    const rate = clock().rate === 1 ? SLOWER : 1;
    keep(rateClock(clock(), Date.now(), rate));
    context.place = { ...context.place, rate };
    context.save();
    slow.textContent = words(rate === 1 ? "slower_button" : "faster_button");
  };
  const pauseButton = button(words("pause_button"), toggle, { kind: "large", "data-pause": true });
  const paused = el("p", { class: "reply", hidden: true }, words("paused_line"));
  const slow = button(words((context.place.rate ?? 1) === 1 ? "slower_button" : "faster_button"), slower);
  const again = () => voice.say([cue.textContent, breath.textContent].join(" "));
  const where = words("set_place", { set_number: block.set_number, sets: exercise.sets });
  if (!clock()) keep(startClock(Date.now(), context.place.rate ?? 1));
  else keep(clock());
  show(
    el("h1", { class: "small" }, exercise.title),
    el("p", { class: "where" }, where),
    el("div", { class: "two" }, stage, el("div", { class: "tell" }, side, count, cue, breath, paused, pauseButton)),
    movementControls(context, flow, { pause, again, extra: walking ? [] : [slow] }),
  );
  frame();
  wakes = setInterval(tick, 1000); // animation frames stop in a hidden page; the time does not
  return stop;
}
