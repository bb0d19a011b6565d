// Draws one moment of a movement on a canvas. A frame is a list of [path, fill, stroke, width] with colours by index.
import { between } from "./between.js";

const MOST_PIXELS_A_POINT = 2; // more is not seen and costs a slow phone its frames
const PICTURES_A_SECOND = 28;
const FEWEST_A_LAYER = 4; // shapes that stay; fewer are painted sooner than a picture of them is copied

const nameOf = (shape) => shape.join();

/** What every frame shows alike: a chair, the floor, a trunk that rests. */
const stillOf = (figure) => {
  const times = new Map();
  for (const name of figure.frames.flatMap((frame) => frame.map(nameOf))) times.set(name, (times.get(name) ?? 0) + 1);
  return new Set([...times.keys()].filter((name) => times.get(name) >= figure.frames.length));
};

const pathOf = (figure, path) => {
  if (!figure.made.has(path)) figure.made.set(path, new Path2D(path));
  return figure.made.get(path);
};

/** Shapes in order, those that stay and stand together as one run, which is painted once and then copied. */
const runsOf = (figure, shapes) => {
  const runs = [];
  for (const shape of shapes) {
    const still = figure.still.has(nameOf(shape));
    if (runs.at(-1)?.still !== still) runs.push({ still, shapes: [], name: "" });
    runs.at(-1).shapes.push([pathOf(figure, shape[0]), ...shape.slice(1)]);
    if (still) runs.at(-1).name += `${nameOf(shape)};`;
  }
  return runs;
};

/** The runs of a moment: of a frame, or of one `step` of `steps` from it to the next; each is made once. */
const momentRuns = (figure, { from, to, step, steps }) => {
  figure.made ??= new Map();
  figure.ready ??= new Map();
  figure.still ??= stillOf(figure);
  const key = `${from} ${to} ${step}/${steps}`;
  if (!figure.ready.has(key)) {
    const shapes = step ? between(figure.frames[from], figure.frames[to], step / steps) : figure.frames[from];
    figure.ready.set(key, runsOf(figure, shapes));
  }
  return figure.ready.get(key);
};

/** Give the canvas the size at which it is shown; asking the page for that size every frame would cost time. */
const fit = (canvas, [width, height]) => {
  const ratio = Math.min(MOST_PIXELS_A_POINT, globalThis.devicePixelRatio || 1);
  const shown = canvas.clientWidth || width;
  const wanted = Math.round(shown * ratio);
  if (canvas.width !== wanted) canvas.width = wanted;
  const high = Math.round((shown * height * ratio) / width);
  if (canvas.height !== high) canvas.height = high;
};

const scaled = (canvas, pen, [width, height]) => {
  pen.setTransform(canvas.width / width, 0, 0, canvas.height / height, 0, 0);
  pen.clearRect(0, 0, width, height);
  pen.lineJoin = pen.lineCap = "round";
};

const brush = (pen, palette, shapes) => {
  for (const [shape, fill, stroke, strokeWidth] of shapes) {
    if (fill >= 0) {
      pen.fillStyle = palette[fill];
      pen.fill(shape);
    }
    if (stroke >= 0) {
      pen.strokeStyle = palette[stroke];
      pen.lineWidth = strokeWidth;
      pen.stroke(shape);
    }
  }
};

/** A run that stays, as a picture of the canvas's size; kept with the canvas, as long as that keeps its size. */
const layerOf = (canvas, layers, figure, run) => {
  const known = layers.get(run.name);
  if (known?.width === canvas.width && known.height === canvas.height) return known;
  const layer = document.createElement("canvas");
  [layer.width, layer.height] = [canvas.width, canvas.height];
  const pen = layer.getContext("2d");
  scaled(layer, pen, figure.size);
  brush(pen, figure.palette, run.shapes);
  layers.set(run.name, layer);
  return layer;
};

const draw = (canvas, pen, layers, figure, moment) => {
  const [width, height] = figure.size;
  scaled(canvas, pen, figure.size);
  for (const run of momentRuns(figure, moment)) {
    if (run.still && run.shapes.length >= FEWEST_A_LAYER) {
      pen.drawImage(layerOf(canvas, layers, figure, run), 0, 0, width, height);
    } else brush(pen, figure.palette, run.shapes);
  }
};

/**
 * The moment for a share of the loop: 0 the start pose, 0.5 the turning point, 1 back at the start. Where the way out
 * or back (`seconds` each) has fewer frames than can be seen, the moment lies between two of them.
 */
export function momentAt(figure, share, seconds = [0, 0]) {
  const way = share <= 0.5 ? figure.out : figure.back;
  const within = share <= 0.5 ? share * 2 : (share - 0.5) * 2;
  const gaps = way.length - 1;
  const steps = gaps ? Math.max(1, Math.ceil((seconds[share <= 0.5 ? 0 : 1] * PICTURES_A_SECOND) / gaps)) : 1;
  const at = Math.min(gaps * steps, Math.max(0, Math.round(within * gaps * steps)));
  const step = at % steps;
  const [from, to] = [way[Math.floor(at / steps)], way[Math.ceil(at / steps)]];
  return from <= to || !step ? { from, to, step, steps } : { from: to, to: from, step: steps - step, steps };
}

/**
 * A canvas with its words for a screen reader; `draw(share)` shows one moment and draws only when it changes.
 * `seconds` is how long the way out and the way back take.
 */
export function makeFigure(figure, words, seconds) {
  const canvas = document.createElement("canvas");
  canvas.className = "figure";
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", words);
  [canvas.width, canvas.height] = figure.size;
  const pen = canvas.getContext("2d");
  const layers = new Map();
  let last = null;
  const at = (share) => {
    const now = momentAt(figure, share, seconds);
    if (last && now.from === last.from && now.to === last.to && now.step === last.step) return;
    last = now;
    draw(canvas, pen, layers, figure, now);
  };
  const again = () => {
    fit(canvas, figure.size);
    if (last) draw(canvas, pen, layers, figure, last);
  };
  if (globalThis.ResizeObserver) new ResizeObserver(() => canvas.isConnected && again()).observe(canvas);
  return { canvas, draw: at, redraw: again };
}
