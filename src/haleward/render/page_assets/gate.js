// May the session start? Missing answers never give "go_ahead".
import { evaluate } from "./conditions.js";

/** The facts that one answer sets. `answer` is "yes", "no", a number, or null for "I am not sure". */
export function factsOfAnswer(check, answer) {
  if (check.kind === "number") return { [check.input]: answer };
  if (answer === "yes") return check.answers_yes;
  if (answer === "no") return check.answers_no;
  const names = [...Object.keys(check.answers_yes), ...Object.keys(check.answers_no)];
  return Object.fromEntries(names.map((name) => [name, null]));
}

/** All answers together. Where two questions set one input, "true" outweighs unknown, and unknown outweighs "false". */
export function factsOfDay(checks, answers, known) {
  const day = {};
  for (const check of checks) {
    if (!(check.wording in answers)) continue;
    for (const [name, value] of Object.entries(factsOfAnswer(check, answers[check.wording]))) {
      if (!(name in day) || value === true || (value === null && day[name] !== true)) day[name] = value;
    }
  }
  const facts = { ...known, ...day };
  if (typeof facts.weight_today_kg === "number" && typeof facts.weight_earlier_kg === "number") {
    const gain = Math.max(0, facts.weight_today_kg - facts.weight_earlier_kg);
    facts.weight_gain_kg_3d = Math.round(1000 * gain) / 1000; // 81.8 - 80 is 1.8, as haleward.safety.facts has it
  }
  return facts;
}

const unknown = (facts, name) => (facts[name] ?? null) === null;

/** Whether a rule that cannot be assessed holds the gate: it is half answered, or it lacks an input that is needed. */
const holds = (rule, missing, moot, facts) => {
  const open = rule.inputs.filter((name) => unknown(facts, name) && !moot.has(name));
  if (!open.length) return false;
  return rule.inputs.some((name) => !unknown(facts, name)) || rule.inputs.some((name) => missing.includes(name));
};

/** The outcome with what led to it: the rules that fired and the inputs that are missing. */
export function outcomeOf(gate, facts) {
  const answers = gate.needs.map((need) => [need.input, need.when ? evaluate(need.when, facts) : true]);
  const missing = answers.filter(([name, needed]) => needed === true && unknown(facts, name)).map(([name]) => name);
  const moot = new Set(answers.filter(([, needed]) => needed === false).map(([name]) => name));
  const assessed = gate.rules.map((rule) => [rule, evaluate(rule.condition, facts)]);
  const fired = assessed.filter(([, answer]) => answer === true).map(([rule]) => rule);
  const open = assessed.filter(([rule, answer]) => answer === null && holds(rule, missing, moot, facts));
  const blocked = fired.some((rule) => rule.level === "block");
  const unsettled = fired.length > 0 || missing.length > 0 || open.length > 0;
  return { outcome: blocked ? "not_today" : unsettled ? "check_first" : "go_ahead", fired, missing };
}

/** The rules that let a session start with care. They never change the outcome. */
export const cautionsOf = (gate, facts) => gate.cautions.filter((rule) => evaluate(rule.condition, facts) === true);

/** The safety topics to show: those of the questions without whose answer a rule would not have fired. */
export function topicsOf(checks, answers, fired, known) {
  const facts = factsOfDay(checks, answers, known);
  const topics = checks.filter((check) => check.wording in answers).flatMap((check) => {
    const { [check.wording]: _, ...others } = answers;
    const without = factsOfDay(checks, others, known);
    if (!fired.some((rule) => evaluate(rule.condition, without) !== true)) return [];
    const special = check.topic_when.find((one) => evaluate(one.when, facts) === true);
    return [special ? special.topic : check.topic];
  });
  const own = topics.length ? [] : fired.map((rule) => rule.topic);
  return [...new Set([...topics, ...own].filter(Boolean))];
}
