// A stretch of the warm-up or the cool-down: the movement, the minutes left, and the way on. It asks and logs nothing.
import { button, el, list, show } from "./dom.js";
import { movingFigure } from "./moving.js";
import { clockText, lastOf, loopShare, makeRun, put } from "./running.js";

/** Play the stretch at hand; the person may go on before its minutes are over. */
export function frameScreen(context, flow) {
  const { words, shown } = context;
  const block = context.block();
  const exercise = context.exercise();
  const side = el("p", { class: "side" });
  const left = el("p", { class: "count time", "aria-hidden": "true" });
  const cue = el("p", { class: "cue" });
  const sides = exercise.each_side ? ["left", "right"] : [""];
  const figures = sides.map((name) => movingFigure(context, { side: name }));
  const stage = el("div", { class: "two-stage" });
  let now = -1;

  const draw = (position) => {
    const at = position + block.start_ms;
    const name = lastOf(block.cues.filter((one) => one.side), at, ["say"])?.side ?? sides[0];
    const place = Math.max(0, sides.indexOf(name));
    if (place !== now) {
      now = place;
      stage.replaceChildren(figures[place].element);
      figures[place].redraw();
      put(side, sides[place] ? words(`side_${sides[place]}`) : "");
    }
    figures[place].draw(loopShare(exercise, position));
    put(left, clockText(block.length_ms - position));
    put(cue, shown(lastOf(block.cues, at, ["say"])?.text ?? ""));
  };
  const onward = () => {
    if (block.kind === "cool_down") context.place.cooled = true;
    flow.next();
  };
  const changed = (running) => {
    hold.textContent = words(running ? "pause_button" : "ready_button");
    paused.hidden = running;
  };
  const run = makeRun(context, { draw, finish: onward, changed });
  const hold = button(words("pause_button"), () => (run.running() ? run.pause() : run.resume()), { "data-hold": true });
  const paused = el("p", { class: "reply", hidden: true }, words("paused_line"));
  show(
    el("p", { class: "where" }, shown(block.title)),
    el("h1", { class: "small" }, shown(exercise.title)),
    el("div", { class: "two" }, stage, el("div", { class: "tell" }, side, left, cue, paused, hold,
      button(words("frame_next_button"), onward, { kind: "main", "data-main": true }))),
    list(block.lines.map(shown)),
    el("p", { class: "stop" }, shown(exercise.stop_if)),
    el("div", { class: "row" }, button(words("jump_button"), flow.jump), button(words("end_here_button"), flow.end, { kind: "quiet" })),
  );
  run.start();
  return run.stop;
}
