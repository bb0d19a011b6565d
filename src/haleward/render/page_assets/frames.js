// A repetition's frames as they were drawn: the page carries of each only what differs from the one before it.

const NUMBER = /-?\d+/g;

/** A shape: 0 is the one before, a list of numbers says by how much each number of its path went on. */
const shapeOf = (carried, before) => {
  if (carried === 0) return before;
  if (typeof carried[0] === "string") return carried;
  let at = 0;
  return [before[0].replace(NUMBER, (number) => Number(number) + carried[at++]), ...before.slice(1)];
};

/** A figure with its frames whole. */
export const wholeFigure = (figure) => {
  let before = [];
  const frames = figure.frames.map((frame) => (before = frame.map((shape, place) => shapeOf(shape, before[place]))));
  return { ...figure, frames };
};

/** The figures of one movement, by side. */
export const wholeFigures = (figures) =>
  Object.fromEntries(Object.entries(figures).map(([side, figure]) => [side, wholeFigure(figure)]));
