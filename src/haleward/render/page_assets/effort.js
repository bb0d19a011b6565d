// "How did that feel?": a number with our own words, or no number at all.
import { button, el, show } from "./dom.js";
import { setOf } from "./context.js";

/** The numbers of the scale in use, each with its words where it has some. */
export function effortButtons(context, choose) {
  const { sheet } = context;
  const [low, high] = sheet.effort_scale === "0-10" ? [0, 10] : [6, 20];
  const anchors = new Map(sheet.effort_anchors);
  const numbers = Array.from({ length: high - low + 1 }, (_, index) => low + index);
  return el("div", { class: "efforts" }, numbers.map((number) => {
    const meaning = context.shown(anchors.get(number) ?? "");
    const label = [el("b", {}, String(number)), meaning ? el("span", {}, meaning) : null].filter(Boolean);
    return button(label, () => choose(number), { kind: meaning ? "effort" : "effort bare" });
  }));
}

const reply = (context, effort, low, high) => {
  const weighted = context.exercise().kit !== "own_weight";
  if (effort === null) return "effort_no_answer";
  if (effort > high) return effort >= high + 3 ? "effort_too_hard_stop" : "effort_too_hard";
  if (effort < low) return weighted ? "effort_too_easy" : "easy_said_no_kit";
  return ["effort_right_1", "effort_right_2", "effort_right_3"][context.place.block % 3];
};

const stepper = (context, planned) => {
  const { words } = context;
  if (context.place.reps === null || context.place.reps === undefined) context.place.reps = planned;
  const shown = el("output", { class: "reps" }, String(context.place.reps));
  const step = (by) => () => {
    context.place.reps = Math.max(0, context.place.reps + by);
    context.save();
    shown.textContent = String(context.place.reps);
  };
  return el("div", { class: "stepper" }, el("span", {}, words("reps_done")),
    button("−", step(-1), { "aria-label": words("fewer_button") }), shown,
    button("+", step(1), { "aria-label": words("more_button") }));
};

/** After a set that was too hard: the repetition at which it got hard, in one tap or none. */
export function gotHardScreen(context, flow) {
  const { words, place, voice } = context;
  const exercise = context.exercise();
  const choose = (hard_at) => {
    const about = setOf(context.block(), exercise);
    flow.next();
    if (hard_at !== null) context.log("set", { ...about, repetitions: place.reps, hard_at });
  };
  const numbers = Array.from({ length: place.reps }, (_, index) => index + 1);
  show(
    el("p", { class: "where" }, context.shown(exercise.title)),
    el("h1", {}, words("hard_at_ask")),
    el("div", { class: "counts" }, numbers.map((number) => button(String(number), () => choose(number)))),
    button(words("no_number_button"), () => choose(null), { kind: "quiet", "data-main": true }),
  );
  voice.say(words("hard_at_ask"));
}

/** Ask after a set. The number of repetitions can be put right here too. */
export function effortScreen(context, flow) {
  const { words, sheet, voice } = context;
  const block = context.block();
  const exercise = context.exercise();
  const planned = exercise.hold_s ? null : exercise.repetitions || null;
  const choose = (effort) => {
    const done = context.place.reps;
    const hard = effort !== null && effort > sheet.effort_high;
    const said = reply(context, effort, sheet.effort_low, sheet.effort_high);
    const lines = [words(said), ...(hard ? [context.shown(exercise.easier)] : [])];
    context.place.reply = lines;
    if (said === "effort_too_hard_stop") flow.screen("leave");
    else if (hard && done) flow.screen("hard");
    else flow.next();
    context.log("effort", { ...setOf(block, exercise), effort });
    if (planned !== null && done !== planned) context.log("set", { ...setOf(block, exercise), repetitions: done });
  };
  show(
    el("p", { class: "where" }, context.shown(exercise.title)),
    el("h1", {}, context.shown(block.lines[0])),
    el("p", {}, words("effort_aim")),
    effortButtons(context, choose),
    button(words("no_number_button"), () => choose(null), { kind: "quiet" }),
    planned === null ? null : stepper(context, planned),
  );
  voice.say(block.lines[0]);
}
