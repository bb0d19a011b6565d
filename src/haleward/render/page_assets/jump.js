// All movements of the session, each with its small picture: where one is, what is done, and the way to each.
import { button, el, show } from "./dom.js";
import { pauseClock } from "./clock.js";
import { makeFigure } from "./figure.js";

/** The first block of every movement, in the order of the session. */
const stops = (context) => {
  const found = new Map();
  context.sheet.blocks.forEach((block, index) => {
    const name = block.frame >= 0 ? `frame ${block.frame}` : `exercise ${block.exercise}`;
    if ((block.frame >= 0 || block.exercise >= 0) && !found.has(name)) found.set(name, index);
  });
  return [...found.values()];
};

const still = (context, index) => {
  const exercise = context.exerciseOf(context.sheet.blocks[index]);
  const figure = makeFigure(context.stillOf(context.sheet.blocks[index]), context.shown(exercise.alt_start));
  return figure;
};

/** Leave what is on the screen for the list; a running clock waits. */
export function openJump(context, flow) {
  const { place } = context;
  context.voice.quiet();
  flow.screen("jump", { clock: place.clock ? pauseClock(place.clock, context.voice.now()) : null });
}

/** The list. */
export function jumpScreen(context, flow) {
  const { words, shown, sheet } = context;
  const places = stops(context);
  const here = places.findLast((index) => index <= context.place.block) ?? -1;
  const figures = places.map((index) => still(context, index));
  const entries = places.map((index, place) => {
    const block = sheet.blocks[index];
    const title = shown(context.exerciseOf(block).title);
    const state = index === here ? words("jump_here") : index < here ? words("jump_done") : "";
    const lines = [el("b", {}, title), el("span", {}, block.frame >= 0 ? shown(block.title) : shown(context.exerciseOf(block).dose_text)),
      state ? el("span", { class: "state" }, state) : null].filter(Boolean);
    const go = button([figures[place].canvas, el("span", { class: "lines-of" }, lines)], () => flow.goTo(index),
      { kind: "stop-at", "aria-label": [words("jump_go", { movement_title: title }), state].filter(Boolean).join(". "),
        "aria-current": index === here ? "step" : null });
    return el("li", {}, go);
  });
  show(
    el("h1", {}, words("jump_heading")),
    el("ol", { class: "stops" }, entries),
    button(words("jump_back"), () => flow.screen("block"), { kind: "main", "data-main": true }),
    button(words("end_here_button"), flow.end, { kind: "quiet" }),
  );
  for (const figure of figures) {
    figure.redraw();
    figure.draw(0);
  }
}
