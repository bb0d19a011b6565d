// Before the start (what to have ready) and before each movement (how to take one's place).
import { button, el, list, show } from "./dom.js";
import { movementControls, versionBox } from "./controls.js";
import { movingFigure } from "./moving.js";

/** Welcome and what to have ready: one screen each, in the words of the sheet. */
export function linesScreen(context, flow) {
  const { words, voice, sheet, shown } = context;
  const block = context.block();
  const [first, ...others] = block.lines;
  const ready = block.kind === "ready";
  show(
    el("h1", {}, shown(ready ? block.title : first)),
    block.kind === "welcome" && sheet.translation.length ? el("p", { class: "where" }, words("spoken_english")) : null,
    ready ? list(block.lines.map(shown)) : others.map((line) => el("p", { class: "lead" }, shown(line))),
    button(words(ready ? "ready_button" : "next_button"), flow.next, { kind: "main", "data-main": true }),
  );
  voice.say(block.lines);
}

/** A movement before its first set: title, dose, picture, set-up words, then a big Start. */
export function setupScreen(context, flow) {
  const { words, voice, sheet, shown } = context;
  const block = context.block();
  const exercise = context.exercise();
  const again = () => voice.say(block.cues.filter((cue) => cue.kind === "say").map((cue) => cue.text));
  const figure = movingFigure(context, { side: "", demonstrate: true });
  const place = words("movement_place", { movement_number: block.exercise + 1, exercise_count: sheet.exercises.length });
  show(
    el("p", { class: "where" }, place),
    el("h1", {}, shown(exercise.title)),
    el("p", { class: "dose" }, shown(exercise.dose_text), el("br"), shown(exercise.load_text)),
    el("div", { class: "two" }, figure.element, el("div", {},
      el("ol", { class: "steps" }, block.lines.map((line) => el("li", {}, shown(line)))),
      el("p", { class: "breath" }, shown(exercise.breathing)),
      el("p", { class: "stop" }, shown(exercise.stop_if)),
      button(words("start_button"), flow.next, { kind: "main", "data-main": true }),
    )),
    versionBox(context),
    details(words("easier_heading"), [exercise.easier, ...exercise.faults].map(shown)),
    details(words("low_vision_heading"), [shown(exercise.low_vision)], sheet.low_vision),
    exercise.repetitions || exercise.hold_s ? movementControls(context, flow, { again }) : null,
  );
  figure.redraw();
  again();
  return figure.stop;
}

const details = (title, lines, open = false) => el("details", { open }, el("summary", {}, title), list(lines.filter(Boolean)));
