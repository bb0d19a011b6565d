// A set or a walk: the sheet's cues against the clock.
import { button, el, show } from "./dom.js";
import { setOf } from "./context.js";
import { movementControls, versionBox } from "./controls.js";
import { movingFigure } from "./moving.js";
import { clockText, lastOf, loopShare, makeRun, put } from "./running.js";

const shareOf = (cue, at) => {
  if (!cue) return 0;
  const within = Math.min(1, (at - cue.start_ms) / Math.max(1, cue.length_ms));
  return cue.pose_from + (cue.pose_to - cue.pose_from) * within;
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

const makeStage = (context, block, sideLine) => {
  const sides = [...new Set(block.cues.map((cue) => cue.side).filter(Boolean))];
  const figures = new Map((sides.length ? sides : [""]).map((side) => [side, movingFigure(context, { side })]));
  const element = el("div", { class: "two-stage" });
  let now = null;
  const showSide = (name) => {
    if (name === now) return;
    now = name;
    const figure = figures.get(name) ?? figures.values().next().value;
    element.replaceChildren(figure.element);
    figure.redraw();
    put(sideLine, name ? context.words(`side_${name}`) : "");
  };
  return {
    element,
    draw: (at, share) => {
      showSide(block.cues.findLast((one) => one.side && one.start_ms <= at)?.side ?? sides[0] ?? "");
      (figures.get(now) ?? figures.values().next().value).draw(share);
    },
  };
};

/** Play the block at hand. */
export function playScreen(context, flow) {
  const { words, voice } = context;
  const block = context.block();
  const exercise = context.exercise();
  const walking = block.kind === "walk";
  const count = el("p", { class: walking ? "count time" : "count", "aria-hidden": "true" });
  const side = el("p", { class: "side" });
  const cue = el("p", { class: "cue" });
  const breath = el("p", { class: "breath" });
  const stage = makeStage(context, block, side);

  const draw = (position) => {
    const at = position + block.start_ms;
    stage.draw(at, walking ? loopShare(exercise, position) : shareOf(lastOf(block.cues, at, ["show"]), at));
    put(count, bigNumber(block, exercise, at, position));
    put(cue, context.shown(lastOf(block.cues, at, ["say"])?.text ?? ""));
    put(breath, context.shown(lastOf(block.cues, at, ["breathe"])?.text ?? exercise.breathing));
  };
  const finish = () => {
    const reps = block.cues.findLast((one) => one.kind === "count")?.repetition ?? null;
    context.place.sets_done = (context.place.sets_done ?? 0) + 1;
    flow.next();
    context.log("set", { ...setOf(block, exercise), repetitions: reps });
  };
  const changed = (running) => {
    pauseButton.textContent = words(running ? "pause_button" : "ready_button");
    pauseButton.classList.toggle("main", !running);
    paused.hidden = running;
    slower.disabled = run.slowest();
    quicker.hidden = run.usual();
  };
  const run = makeRun(context, { draw, finish, changed });
  const pause = () => run.pause() && context.log("pause", { ...setOf(block, exercise), paused: true });
  const toggle = () => {
    if (run.running()) return pause();
    run.resume();
    context.log("pause", { ...setOf(block, exercise), paused: false });
  };
  const pauseButton = button(words("pause_button"), toggle, { kind: "large", "data-pause": true });
  const paused = el("p", { class: "reply", hidden: true }, words("paused_line"));
  const slower = button(words("slower_button"), run.slower);
  const quicker = button(words("quicker_button"), run.quicker);
  const again = () => voice.say([cue.textContent, breath.textContent]);
  show(
    el("h1", { class: "small" }, context.shown(exercise.title)),
    el("p", { class: "where" }, words("set_place", { set_number: block.set_number, sets: exercise.sets })),
    el("div", { class: "two" }, stage.element, el("div", { class: "tell" }, side, count, cue, breath, paused, pauseButton)),
    versionBox(context),
    movementControls(context, flow, { pause, again, extra: walking ? [] : [slower, quicker] }),
  );
  run.start();
  return run.stop;
}
