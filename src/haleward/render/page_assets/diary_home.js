// The days and what is told of each: the newest first, two in sight, the rest folded away.
import { button, el, listed, show } from "./dom.js";
import { daysLater } from "./today.js";

const longDay = new Intl.DateTimeFormat(`${document.documentElement.lang}-u-nu-latn`, { weekday: "long", day: "numeric", month: "long" });

/** "Today", "Yesterday", or the day in words. */
export const dayName = (context, on) => {
  const shown = longDay.format(new Date(`${on}T12:00:00`));
  if (on === context.today()) return listed([context.words("diary_today"), shown]);
  return on === daysLater(context.today(), -1) ? listed([context.words("diary_yesterday"), shown]) : shown;
};

const STATES = {
  as_planned: "diary_state_as_planned",
  part: "diary_state_part",
  not_done: "diary_state_not_done",
  played: "diary_state_played",
};
const TELLERS = {
  person: "diary_state_person",
  carer: "diary_state_carer",
  paper: "diary_state_paper",
  staff: "diary_state_staff",
};

const stateLine = (context, { outcome, origin, late }) => {
  const { words } = context;
  const notes = [words(TELLERS[origin] ?? "diary_state_person"), ...(late ? [words("diary_state_late")] : [])];
  return el("p", {}, el("strong", {}, words(STATES[outcome])), ` (${listed(notes)})`);
};

const askButtons = (context, session) => {
  const { words } = context;
  const tell = (outcome) => () => {
    context.tell(session, outcome);
    context.open("saved", { session, outcome });
  };
  return [
    button(words("log_yes"), tell("as_planned"), { kind: "large" }),
    button(words("log_part"), () => context.open("part", { session }), { kind: "wide" }),
    button(words("log_no"), tell("not_done"), { kind: "quiet wide" }),
  ];
};

const sessionCard = (context, session) => {
  const { words, data } = context;
  const told = context.told.get(session.session_id);
  const name = data.parts[session.part_key].name;
  const box = el("div", { class: "told" });
  const ask = () => box.replaceChildren(el("div", { class: "answers" }, askButtons(context, session)));
  if (told) box.append(stateLine(context, told), button(words("diary_change"), ask, { kind: "small" }));
  else ask();
  return el("section", { class: "session", "aria-label": name }, el("h3", {}, name), box);
};

const dayCard = (context, day) => {
  const { words } = context;
  const extra = day.others.filter((one) => context.told.has(one.session_id));
  const sessions = [...day.sessions, ...extra].map((one) => sessionCard(context, { ...one, on: day.on }));
  const none = sessions.length ? null : el("p", {}, words("diary_nothing_planned"));
  const add = button(words("diary_add"), () => context.open("add", { day }), { kind: "quiet" });
  return el("section", { class: "day" }, el("h2", {}, dayName(context, day.on)), none, sessions, add);
};

/** Every day up to today that may still be told. */
export function homeScreen(context) {
  const { words, data } = context;
  const days = data.days.filter((day) => day.on <= context.today()).reverse();
  const box = el("div", {}, days.slice(0, 2).map((day) => dayCard(context, day)));
  const more = button(words("diary_earlier"), () => {
    more.remove();
    box.append(...days.slice(2).map((day) => dayCard(context, day)));
  }, { kind: "wide" });
  show(
    el("p", {}, el("a", { class: "back", href: data.home_url }, words("back_button"))),
    el("h1", {}, words("diary_heading")),
    el("p", {}, words("diary_intro")),
    data.origin === "carer" ? el("p", { class: "strong" }, words("diary_helping")) : null,
    box,
    days.length > 2 ? more : null,
    button(words("diary_sore_button"), () => context.open("sore"), { kind: "wide" }),
  );
}

/** Something on a day that the plan does not have there. */
export function addScreen(context, { day }) {
  const { words, data } = context;
  const free = day.others.filter((one) => !context.told.has(one.session_id));
  const choose = (session) => () => context.open("part", { session: { ...session, on: day.on } });
  show(
    el("p", { class: "where" }, dayName(context, day.on)),
    el("h1", {}, words("diary_add_what")),
    el("div", { class: "answers" }, free.map((one) => button(data.parts[one.part_key].name, choose(one), { kind: "large" }))),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
}
