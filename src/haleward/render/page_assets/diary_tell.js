// How a session went: part of it, line by line; and after it was saved, the number, any worry, why not.
import { placesOf, walkSets } from "./diary_report.js";
import { dayName } from "./diary_home.js";
import { blankStepper, hardStepper } from "./diary_more.js";
import { button, el, show } from "./dom.js";
import { effortButtons } from "./effort.js";

const loadChoice = (words, name) => {
  const choices = [["", "diary_load_same"], ["lighter", "diary_load_lighter"], ["heavier", "diary_load_heavier"]];
  const radio = ([value, key]) => el("label", { class: "choice" }, el("input", { type: "radio", name, value, checked: value === "" }), words(key));
  return el("div", { class: "choices" }, choices.map(radio));
};

const movementCard = (context, index, exercise) => {
  const { words } = context;
  const sets = blankStepper(words("diary_sets"), exercise.sets, words);
  const count = exercise.hold_s ? null : blankStepper(words("diary_count"), exercise.repetitions, words);
  const hard = hardStepper(exercise, words);
  const load = exercise.kit === "own_weight" ? null : loadChoice(words, `load-${index}`);
  const element = el("section", { class: "session", "aria-label": exercise.title }, el("h2", {}, exercise.title),
    el("p", { class: "where" }, words("diary_planned", { dose_text: exercise.dose_text })), sets.element,
    count?.element ?? null, hard?.element ?? null, load);
  const told = () => {
    const change = load?.querySelector("input:checked").value ?? "";
    const hardAt = hard?.value ?? null;
    if (sets.value === null && count?.value == null && hardAt === null && !change) return [];
    const done = sets.value ?? exercise.sets;
    const repetitions = count ? count.value ?? (sets.value === null ? null : exercise.repetitions) : exercise.repetitions;
    const gotHard = hardAt !== null && repetitions !== 0; // a set without a repetition got hard at none
    const hardIn = (number) => (number === done - 1 && gotHard ? { hard_at: Math.min(hardAt, repetitions ?? hardAt) } : {});
    return Array.from({ length: Math.max(done, exercise.sets) }, (_, number) => ({
      exercise_index: index,
      movement_id: exercise.movement_id,
      set_number: number + 1,
      ...(number < done ? { repetitions, load_change: change, ...hardIn(number) } : { skipped: true }),
    }));
  };
  return { element, told };
};

const MOST_MINUTES = 300;

const walkCard = (context, exercise) => {
  const { words } = context;
  const box = el("input", { type: "number", min: "0", max: String(MOST_MINUTES), inputmode: "numeric", id: "minutes", class: "number", "aria-describedby": "minutes-fault" });
  const fault = el("p", { class: "stop", id: "minutes-fault", role: "alert", hidden: true }, words("diary_minutes_range", { highest: MOST_MINUTES }));
  const element = el("div", {}, el("p", {}, el("label", { for: "minutes" }, words("diary_minutes"))), box, fault);
  const check = () => {
    const minutes = box.valueAsNumber;
    const blank = box.value === "" && !box.validity.badInput;
    fault.hidden = blank || (minutes >= 0 && minutes <= MOST_MINUTES);
    if (!fault.hidden) box.focus();
    return fault.hidden;
  };
  return { element, check, told: () => (Number.isFinite(box.valueAsNumber) ? walkSets(exercise, box.valueAsNumber) : []) };
};

/** Part of it: what was done of each movement, or how long the walk was. */
export function partScreen(context, { session }) {
  const { words, data } = context;
  const { exercises, name } = data.parts[session.part_key];
  const walks = session.part_key === "walk";
  const cards = walks ? [walkCard(context, exercises[0])] : placesOf(context, session).map((place) => movementCard(context, place, exercises[place]));
  const save = () => {
    if (!cards.every((card) => card.check?.() ?? true)) return;
    context.tell(session, "part", { sets: cards.flatMap((card) => card.told()) });
    context.open("saved", { session, outcome: "part" });
  };
  show(
    el("p", { class: "where" }, `${name}. ${dayName(context, session.on)}`),
    el("h1", {}, words("diary_part_heading")),
    el("p", {}, words("diary_blank_help")),
    cards.map((card) => card.element),
    button(words("diary_save"), save, { kind: "main", "data-main": true }),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
}

const REASONS = ["time", "tired", "unwell", "sore", "away", "fasting", "other"];

const whyNot = (context, session) => {
  const { words } = context;
  const choose = (reason) => () => {
    context.tell(session, "not_done", { reason });
    if (reason === "unwell") context.open("unwell");
    else if (reason === "sore") context.open("sore");
    else context.open("home");
  };
  const labels = { time: words("diary_why_time"), tired: words("diary_why_tired"), unwell: words("diary_why_unwell"),
    sore: words("diary_why_sore"), away: words("diary_why_away"), fasting: words("diary_why_fasting"), other: words("diary_why_other") };
  return [
    el("p", {}, words("missed_2")),
    el("h2", {}, words("log_no_reason")),
    el("div", { class: "answers" }, REASONS.map((reason) => button(labels[reason], choose(reason), { kind: "wide" })),
      button(words("diary_why_skip"), () => context.open("home"), { kind: "quiet" })),
  ];
};

const worry = (context, session) => {
  const { words } = context;
  show(
    el("h1", { class: "question" }, words("log_symptom")),
    el("div", { class: "answers" },
      button(words("yes_button"), () => context.open("unwell", { session }), { kind: "large" }),
      button(words("no_button"), () => context.open("home"), { kind: "large" })),
  );
};

const howHard = (context, session, outcome) => {
  const { words, sheet } = context;
  const choose = (whole_effort) => {
    if (whole_effort !== null) context.tell(session, outcome, { whole_effort });
    const next = () => worry(context, session);
    if (session.part_key === "walk" && context.data.heart_rate) context.open("rate", { session, outcome, next });
    else next();
  };
  const tellsHard = outcome === "as_planned" && placesOf(context, session).some((place) => context.data.parts[session.part_key].exercises[place].hold_s === 0);
  return [
    el("h2", {}, words(sheet.effort_scale === "0-10" ? "effort_ask_end" : "effort_ask_end_6_20")),
    effortButtons(context, choose),
    button(words("no_number_button"), () => choose(null), { kind: "quiet" }),
    tellsHard ? button(words("diary_hard_open"), () => context.open("hard", { session }), { kind: "quiet" }) : null,
  ];
};

/** Saved already; the questions that follow may be left out. */
export function savedScreen(context, { session, outcome }) {
  const { words, data } = context;
  const heads = { as_planned: words("diary_saved_as_planned"), part: words("diary_saved_part"), not_done: words("diary_saved_not_done") };
  show(
    el("p", { class: "where" }, `${data.parts[session.part_key].name}. ${dayName(context, session.on)}`),
    el("h1", {}, heads[outcome]),
    outcome === "not_done" ? whyNot(context, session) : howHard(context, session, outcome),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
}
