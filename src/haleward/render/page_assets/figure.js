// Draws one frame of a movement on a canvas. A frame is a list of [path, fill, stroke, width] with colours by index.

const MOST_PIXELS_A_POINT = 2; // more is not seen and costs a slow phone its frames

/** The shapes of a frame; every path is made once for all frames. */
const shapesOf = (figure, index) => {
  figure.made ??= new Map();
  figure.ready ??= [];
  figure.ready[index] ??= figure.frames[index].map(([path, ...paint]) => {
    if (!figure.made.has(path)) figure.made.set(path, new Path2D(path));
    return [figure.made.get(path), ...paint];
  });
  return figure.ready[index];
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

const draw = (canvas, pen, figure, index) => {
  const [width, height] = figure.size;
  pen.setTransform(canvas.width / width, 0, 0, canvas.height / height, 0, 0);
  pen.clearRect(0, 0, width, height);
  pen.lineJoin = pen.lineCap = "round";
  for (const [shape, fill, stroke, strokeWidth] of shapesOf(figure, index)) {
    if (fill >= 0) {
      pen.fillStyle = figure.palette[fill];
      pen.fill(shape);
    }
    if (stroke >= 0) {
      pen.strokeStyle = figure.palette[stroke];
      pen.lineWidth = strokeWidth;
      pen.stroke(shape);
    }
  }
};

/** The frame for a share of the loop: 0 the start pose, 0.5 the turning point, 1 back at the start. */
export function frameAt(figure, share) {
  const half = share <= 0.5 ? figure.out : figure.back;
  const within = share <= 0.5 ? share * 2 : (share - 0.5) * 2;
  return half[Math.min(half.length - 1, Math.max(0, Math.round(within * (half.length - 1))))];
}

/** A canvas with its words for a screen reader; `draw(share)` shows one moment and draws only when it changes. */
export function makeFigure(figure, words) {
  const canvas = document.createElement("canvas");
  canvas.className = "figure";
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", words);
  [canvas.width, canvas.height] = figure.size;
  const pen = canvas.getContext("2d");
  let last = -1;
  const at = (share) => {
    const index = frameAt(figure, share);
    if (index === last) return;
    last = index;
    draw(canvas, pen, figure, index);
  };
  const again = () => {
    fit(canvas, figure.size);
    if (last >= 0) draw(canvas, pen, figure, last);
  };
  if (globalThis.ResizeObserver) new ResizeObserver(() => canvas.isConnected && again()).observe(canvas);
  return { canvas, draw: at, redraw: again };
}
