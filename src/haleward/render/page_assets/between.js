// Pictures between two drawn ones, so that the figure moves softly without more to load.

const POINT = /(Z?(?:a[\d.]+ [\d.]+ 0 [01] 1 |[Ml]))(-?[\d.]+) ?(-?[\d.]+)/g;
const FURTHEST = 48; // a point that goes further from one picture to the next belongs to another part of the outline
const PATHS = new Map();

/** A path as the commands before its points, one text for all of them, and the points' numbers. */
const parts = (path) => {
  if (!PATHS.has(path)) {
    const found = [...path.matchAll(POINT)];
    const heads = found.map((one) => one[1]);
    PATHS.set(path, { heads, form: heads.join(), points: found.flatMap((one) => [Number(one[2]), Number(one[3])]) });
  }
  return PATHS.get(path);
};

/** The path a share of the way to another one; where they are not of the same form, the nearer of the two. */
const mixed = (path, other, share) => {
  if (path === other) return path;
  const [one, two] = [parts(path), parts(other)];
  const alike = one.form === two.form && one.points.every((value, n) => Math.abs(two.points[n] - value) <= FURTHEST);
  if (!alike) return share < 0.5 ? path : other;
  const at = one.points.map((value, n) => Math.round((value + (two.points[n] - value) * share) * 10) / 10);
  return one.heads.map((head, n) => `${head}${at[2 * n]} ${at[2 * n + 1]}`).join("") + (path.endsWith("Z") ? "Z" : "");
};

/** Each shape with a name: its paint, and which one of that paint it is in its frame. */
const named = (frame) => {
  const seen = new Map();
  return frame.map((shape) => {
    const paint = shape.slice(1).join();
    seen.set(paint, (seen.get(paint) ?? 0) + 1);
    return [`${paint} ${seen.get(paint)}`, shape];
  });
};

/** The shapes a share of the way from one frame to another, in the order of the nearer one. */
export function between(from, to, share) {
  const [near, far, part] = share < 0.5 ? [from, to, share] : [to, from, 1 - share];
  const others = new Map(named(far));
  return named(near).map(([name, [path, ...paint]]) => [mixed(path, others.get(name)?.[0] ?? path, part), ...paint]);
}
