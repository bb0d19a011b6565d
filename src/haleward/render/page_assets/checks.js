// "How are you today?": one big question at a time. A stop shows its advice first; a blank never starts the session.
import { button, el, show } from "./dom.js";
import { topicLines } from "./safety.js";
import { cautionsOf, factsOfDay, outcomeOf, topicsOf } from "./gate.js";

/** What to read before the start, and what was measured and is to be measured again. */
const carefulOf = (checks, rules) => {
  const inputs = rules.flatMap((rule) => rule.inputs);
  const again = checks.filter((check) => check.kind === "number" && inputs.includes(check.input)).map((check) => check.wording);
  return { topics: [...new Set(rules.map((rule) => rule.topic))], again };
};

/** The session may start, with care: the advice first. After a measured value it is measured again instead. */
export function carefulScreen(context, flow) {
  const { words, place } = context;
  const { topics, again } = place.careful;
  const measure = () => {
    const answers = Object.fromEntries(Object.entries(place.answers).filter(([key]) => !again.includes(key)));
    flow.screen("check", { answers });
  };
  const start = again.length
    ? button(words("measure_again_button"), measure, { kind: "main" })
    : button(words("start_button"), () => flow.screen("block", { block: 0 }), { kind: "main" });
  show(el("h1", {}, words("careful_heading")), topics.map((topic) => topicLines(context, topic)), start);
  context.voice.say(words("careful_heading"));
}

const finish = (context, flow, answers, result) => {
  const { checks, gate } = context.data;
  const topics = topicsOf(checks, answers, result.fired, gate.facts);
  const careful = result.outcome === "go_ahead" ? cautionsOf(gate, factsOfDay(checks, answers, gate.facts)) : [];
  const ids = [...result.fired, ...careful].map((rule) => rule.id);
  const holds = result.fired.some((rule) => rule.holds);
  const found = { outcome: result.outcome, topics, rule_ids: ids, missing: result.missing, holds };
  const entry = { ...found, facts: factsOfDay(checks, answers, {}), unsure: checks.map((c) => c.wording).filter((key) => answers[key] === null) };
  if (result.outcome !== "go_ahead") flow.screen("stopped", { answers, stop: found });
  else if (careful.length) flow.screen("careful", { answers, careful: carefulOf(checks, careful) });
  else flow.screen("block", { block: 0, answers });
  context.log("check", entry); // after the advice is on the screen
};

const answered = (context, flow, key, answer) => {
  const { checks, gate } = context.data;
  const answers = { ...context.place.answers, [key]: answer };
  const result = outcomeOf(gate, factsOfDay(checks, answers, gate.facts));
  const all = checks.every((check) => check.wording in answers);
  if (all || result.outcome === "not_today") finish(context, flow, answers, result);
  else flow.screen("check", { answers });
};

const choices = (context, flow, check) => {
  const { words } = context;
  const give = (answer) => () => answered(context, flow, check.wording, answer);
  const [yes, no] = check.kind === "confirm" ? ["done_button", "cannot_button"] : ["yes_button", "no_button"];
  const unsure = button(words("unsure_button"), give(null), { kind: "quiet" });
  if (check.kind !== "number") {
    return [button(words(yes), give("yes"), { kind: "large" }), button(words(no), give("no"), { kind: "large" }), unsure];
  }
  const box = el("input", { type: "number", step: "0.1", min: "0", inputmode: "decimal", id: "number", class: "number" });
  const next = () => (box.value.trim() !== "" && Number.isFinite(box.valueAsNumber) ? give(box.valueAsNumber)() : box.focus());
  box.addEventListener("keydown", (event) => event.key === "Enter" && next());
  const label = el("label", { for: "number" }, `${words("number_box")} (${check.unit})`);
  return [label, box, button(words("next_button"), next, { kind: "main" }), unsure];
};

/** The next unanswered question. */
export function checkScreen(context, flow) {
  const { words } = context;
  const { checks, gate } = context.data;
  const given = context.place.answers;
  const index = checks.findIndex((check) => !(check.wording in given));
  if (index < 0) {
    finish(context, flow, given, outcomeOf(gate, factsOfDay(checks, given, gate.facts)));
    return;
  }
  const check = checks[index];
  const last = checks[index - 1];
  const back = () => {
    const { [last.wording]: _, ...others } = given;
    flow.screen("check", { answers: others });
  };
  show(
    el("p", { class: "where" }, words("check_heading")),
    el("h1", { class: "question" }, check.text),
    el("div", { class: "answers" }, choices(context, flow, check)),
    el("p", { class: "where" }, words("question_place", { question_number: index + 1, question_count: checks.length })),
    last ? button(words("back_button"), back, { kind: "quiet" }) : null,
  );
  context.voice.say(check.text);
}
