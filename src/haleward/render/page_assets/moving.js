// The figure of the movement at hand: moving with the clock, or as two still pictures.
import { button, el } from "./dom.js";
import { makeFigure } from "./figure.js";

const stillWanted = (context) => context.place.still ?? matchMedia("(prefers-reduced-motion: reduce)").matches;

const pair = (context, figures, exercise) => {
  const { words } = context;
  const one = (words_, share, caption) => {
    const figure = makeFigure(figures, words_);
    return { figure, share, element: el("figure", {}, figure.canvas, el("figcaption", {}, caption)) };
  };
  const both = [one(context.shown(exercise.alt_start), 0, words("picture_start")), one(context.shown(exercise.alt_end), 0.5, words("picture_end"))];
  return {
    element: el("div", { class: "pair" }, both.map((each) => each.element)),
    draw: () => {},
    redraw: () => both.forEach((each) => { each.figure.draw(each.share); each.figure.redraw(); }),
  };
};

const single = (context, figures, exercise) => {
  const words = `${context.shown(exercise.alt_start)} ${context.shown(exercise.alt_end)}`;
  const figure = makeFigure(figures, words, [exercise.out_s, exercise.back_s]);
  return { element: figure.canvas, draw: figure.draw, redraw: () => { figure.draw(0); figure.redraw(); } };
};

/** A figure with its "Show the pictures" button. `demonstrate` loops the movement at its tempo without a clock. */
export function movingFigure(context, { side, demonstrate = false }) {
  const exercise = context.exercise();
  const figures = context.figuresOf(context.block());
  const drawing = figures[side] ?? Object.values(figures)[0];
  const frame = el("div", { class: "stage" });
  const toggle = button("", () => choose(!still), { kind: "quiet small" });
  let still = stillWanted(context);
  let shown = null;
  let handle = 0;

  const loop = (now) => {
    const out = exercise.out_s * 1000, pause = exercise.pause_s * 1000 + 400, back = exercise.back_s * 1000 + 800;
    const at = now % (out + pause + back);
    shown.draw(at < out ? (at / out) * 0.5 : at < out + pause ? 0.5 : Math.min(1, 0.5 + (at - out - pause) / (2 * (back - 800))));
    handle = requestAnimationFrame(loop);
  };
  const choose = (wanted) => {
    still = wanted;
    context.place = { ...context.place, still };
    context.save();
    draw();
  };
  const draw = () => {
    cancelAnimationFrame(handle);
    shown = still ? pair(context, drawing, exercise) : single(context, drawing, exercise);
    frame.replaceChildren(shown.element);
    toggle.textContent = context.words(still ? "moving_button" : "picture_button");
    if (frame.isConnected) shown.redraw();
    if (demonstrate && !still) handle = requestAnimationFrame(loop);
  };
  const stop = () => cancelAnimationFrame(handle);
  draw();
  return {
    element: el("div", { class: "figure-box" }, frame, toggle),
    draw: (share) => shown.draw(share),
    redraw: () => shown.redraw(),
    stop,
  };
}
