// Draws one frame of a movement on a canvas. A frame is a list of [path, fill, stroke, width] with colours by index.

const draw = (canvas, figure, index) => {
  const [width, height] = figure.size;
  const ratio = Math.min(3, globalThis.devicePixelRatio || 1);
  const shown = canvas.clientWidth || width;
  canvas.width = Math.round(shown * ratio);
  canvas.height = Math.round((shown * height * ratio) / width);
  const pen = canvas.getContext("2d");
  pen.scale(canvas.width / width, canvas.height / height);
  pen.lineJoin = pen.lineCap = "round";
  for (const [path, fill, stroke, strokeWidth] of figure.frames[index]) {
    const shape = new Path2D(path);
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
  let last = -1;
  const at = (share) => {
    const index = frameAt(figure, share);
    if (index === last) return;
    last = index;
    draw(canvas, figure, index);
  };
  const again = () => {
    const index = last;
    last = -1;
    if (index >= 0) draw(canvas, figure, (last = index));
  };
  return { canvas, draw: at, redraw: again };
}
