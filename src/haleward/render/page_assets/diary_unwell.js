// A symptom told outside a session: what to do first, by the protocol's level; then the record, whoever reads it when.
import { newIdentifier } from "./context.js";
import { button, el, list, show } from "./dom.js";
import { topicLines, unreadLines } from "./safety.js";

/** Choose what fits best. `session` is the one in which it happened, if it did. */
export function diaryUnwellScreen(context, { session }) {
  const { words, data } = context;
  const choose = (symptom) => () => context.open("advice", { symptom, session });
  show(
    list(data.banner.slice(0, 1), "safety banner"),
    el("h1", {}, words("unwell_heading")),
    el("p", {}, words("other_symptoms")),
    el("div", { class: "symptoms" }, data.symptoms.map((one) => button(one.label, choose(one)))),
    list(data.banner.slice(1), "safety small"),
    button(words("mistake_button"), () => context.open("home"), { kind: "quiet" }),
  );
}

/** Where the note is: on this device, until it has reached the team. */
export const keptLines = (words) => [
  el("p", { "data-once": "unsent" }, words("diary_kept_here")),
  el("p", { "data-once": "sent", hidden: true }, words("diary_record_kept")),
];

/** The advice is on the screen before anything is kept. */
export function diaryAdviceScreen(context, { symptom, session }) {
  const { words } = context;
  const about = session ?? { session_id: newIdentifier(), part_key: "walk", on: context.today() };
  show(
    el("h1", { class: "out-of-sight" }, symptom.label),
    topicLines(context, symptom.topic),
    unreadLines(context),
    el("p", { class: "strong" }, words("diary_hold")),
    context.notSent(),
    keptLines(words),
    button(words("diary_back"), () => context.open("home"), { kind: "quiet" }),
  );
  context.log(about, "unwell", { topic: symptom.topic, outside: !session });
}
