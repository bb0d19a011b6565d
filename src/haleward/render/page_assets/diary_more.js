// What may be told besides: at which repetition a movement got hard, and the pulse after a walk. Blank stays blank.
import { dayName } from "./diary_home.js";
import { placesOf, reportOf } from "./diary_report.js";
import { button, el, show } from "./dom.js";
import { rateQuestion } from "./rate.js";

/** Minus, a number, plus. It starts blank: only what is pressed is told; below its lowest it is blank again. */
export const blankStepper = (label, planned, words, { lowest = 0, highest = Infinity, first = planned } = {}) => {
  const shown = el("output", { class: "reps" }, "–");
  const field = { value: null };
  const step = (by) => () => {
    const next = field.value === null ? first : field.value + by;
    field.value = next < lowest && lowest > 0 ? null : Math.min(highest, Math.max(lowest, next));
    shown.textContent = field.value === null ? "–" : String(field.value);
  };
  field.element = el("div", { class: "stepper" }, el("span", {}, label),
    button("−", step(-1), { "aria-label": `${label}: ${words("fewer_button")}` }), shown,
    button("+", step(1), { "aria-label": `${label}: ${words("more_button")}` }));
  return field;
};

/** The repetition at which a set got hard; nothing for a hold, which has no repetitions. */
export const hardStepper = (exercise, words) =>
  exercise.hold_s ? null : blankStepper(words("diary_hard_at"), exercise.repetitions, words,
    { lowest: 1, highest: exercise.repetitions, first: Math.ceil(exercise.repetitions / 2) });

const sessionLine = (context, session) =>
  el("p", { class: "where" }, `${context.data.parts[session.part_key].name}. ${dayName(context, session.on)}`);

/** A session done as planned: when each movement got hard, in the last set of it. */
export function hardScreen(context, { session }) {
  const { words, data } = context;
  const { exercises } = data.parts[session.part_key];
  const places = placesOf(context, session).filter((place) => !exercises[place].hold_s);
  const fields = new Map(places.map((place) => [place, hardStepper(exercises[place], words)]));
  const told = (set) => {
    const value = fields.get(set.exercise_index)?.value ?? null;
    return value !== null && set.set_number === exercises[set.exercise_index].sets ? { ...set, hard_at: value } : set;
  };
  const save = () => {
    context.tell(session, "as_planned", { sets: reportOf(context, session, "as_planned").sets.map(told) });
    context.open("saved", { session, outcome: "as_planned" });
  };
  show(
    sessionLine(context, session),
    el("h1", {}, words("diary_hard_heading")),
    el("p", {}, words("diary_blank_help")),
    places.map((place) => el("section", { class: "session", "aria-label": exercises[place].title },
      el("h2", {}, exercises[place].title), fields.get(place).element)),
    button(words("diary_save"), save, { kind: "main", "data-main": true }),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
}

/** The pulse at the end of a walk, for those whom it can guide; nobody has to count it. */
export function rateScreen(context, { session, outcome, next }) {
  const told = (counted) => {
    if (counted !== null) context.tell(session, outcome, { heart_rate_bpm: counted });
    next();
  };
  show(sessionLine(context, session), rateQuestion(context.words, context.data.heart_rate, told));
}
