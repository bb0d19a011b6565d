// Soreness after the last session: where, for how many days; what to do about it first, then the record.
import { newIdentifier } from "./context.js";
import { button, el, show } from "./dom.js";
import { keptLines } from "./diary_unwell.js";
import { topicLines, unreadLines } from "./safety.js";

const MOST_DAYS = 7;
const CONCERNS = ["joint", "one_side"];

const placeLabels = (words) => ({
  legs: words("diary_sore_legs"), arms: words("diary_sore_arms"), shoulders: words("diary_sore_shoulders"),
  back: words("diary_sore_back"), joint: words("diary_sore_joint"), one_side: words("diary_sore_one_side"),
});

/** The last session that was done: soreness is about it. */
const lastDone = (context) => {
  const done = (one) => ["as_planned", "part", "played"].includes(context.told.get(one.session_id)?.outcome);
  const days = context.data.days.filter((day) => day.on <= context.today()).reverse();
  for (const day of days) {
    const session = [...day.sessions, ...day.others].find((one) => one.part_key !== "walk" && done(one));
    if (session) return { ...session, on: context.today() };
  }
  return { session_id: newIdentifier(), part_key: "walk", on: context.today() };
};

/** Where and for how long. */
export function soreScreen(context) {
  const { words } = context;
  const boxes = Object.entries(placeLabels(words)).map(([place, label]) =>
    el("label", { class: "choice" }, el("input", { type: "checkbox", value: place }), label));
  const chosen = () => boxes.map((box) => box.querySelector("input")).filter((input) => input.checked).map((input) => input.value);
  const days = Array.from({ length: MOST_DAYS }, (_, index) => index + 1);
  const label = (count) => {
    if (count === MOST_DAYS) return words("diary_sore_more", { days: count });
    return count === 1 ? words("diary_one_day") : words("diary_days", { days: count });
  };
  const choose = (count) => () => context.open("sore_advice", { places: chosen(), days: count });
  show(
    el("h1", {}, words("diary_sore_where")),
    el("div", { class: "choices" }, boxes),
    el("h2", {}, words("diary_sore_days")),
    el("div", { class: "answers" }, days.map((count) => button(label(count), choose(count), { kind: "wide" }))),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
}

/** The advice is on the screen before anything is kept. */
export function soreAdviceScreen(context, { places, days }) {
  const { words, data } = context;
  const long = days > data.sore_days || places.some((place) => CONCERNS.includes(place));
  show(
    el("h1", {}, words(long ? "sore_do" : "sore_normal")),
    topicLines(context, long ? "soreness beyond 3 days" : "soreness up to 3 days"),
    long ? unreadLines(context) : null,
    keptLines(words),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
  context.log(lastDone(context), "sore", { sore_days: days, places });
}
