// The twin of haleward.safety.conditions: true, false or null (unknown). A test compares the two on generated trees.

const COMPARE = {
  over: (value, limit) => value > limit,
  under: (value, limit) => value < limit,
  at_least: (value, limit) => value >= limit,
  at_most: (value, limit) => value <= limit,
};
const TESTS = [...Object.keys(COMPARE), "is", "one_of", "known"];

const negate = (answer) => (answer === null ? null : !answer);

const allOf = (answers) => {
  if (answers.includes(false)) return false;
  return answers.includes(null) ? null : true;
};

const factOf = (facts, name) => (Object.hasOwn(facts, name) && facts[name] !== null ? facts[name] : undefined);

const limitOf = (wanted, facts) => {
  if (typeof wanted !== "object") return wanted;
  const value = factOf(facts, wanted.input);
  return value === undefined ? null : value * (wanted.times ?? 1) + (wanted.plus ?? 0);
};

const test = (leaf, name, facts) => {
  const value = factOf(facts, leaf.input);
  const wanted = leaf[name];
  if (name === "known") return (value !== undefined) === wanted;
  if (value === undefined) return null;
  if (name === "is") return value === wanted;
  if (name === "one_of") return wanted.includes(value);
  const limit = limitOf(wanted, facts);
  return limit === null ? null : COMPARE[name](value, limit);
};

/** Whether a structured condition holds for the facts: true, false, or null when the facts cannot tell. */
export function evaluate(condition, facts) {
  if ("all" in condition) return allOf(condition.all.map((part) => evaluate(part, facts)));
  if ("any" in condition) return negate(allOf(condition.any.map((part) => negate(evaluate(part, facts)))));
  if ("not" in condition) return negate(evaluate(condition.not, facts));
  return allOf(TESTS.filter((name) => name in condition).map((name) => test(condition, name, facts)));
}
