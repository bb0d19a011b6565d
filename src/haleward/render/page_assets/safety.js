// The safety page: what to do, most urgent first. It opens at once, at every moment, and works with no network.
import { button, el, list, show } from "./dom.js";
import { pauseClock } from "./clock.js";

const urgent = (level) => (level === "emergency" ? "urgent" : "");

/** The lines of one topic; the first is always the emergency line. */
export const topicLines = (context, topic) =>
  el("ul", { class: "safety" }, context.data.topics[topic].map(([level, text]) => el("li", { class: urgent(level) }, text)));

/** Outside the team's opening times, by the clock of this device: no one reads this now, and what to do instead. */
export function unreadLines(context) {
  const { open_times: times, topics } = context.data;
  const now = new Date();
  const minute = now.getHours() * 60 + now.getMinutes();
  const day = (now.getDay() + 6) % 7; // Monday is 0
  if (times.some(([weekday, from, to]) => weekday === day && from <= minute && minute < to)) return null;
  const lines = (topics["no one is reading this now"] ?? []).filter(([level]) => ["emergency", "same day"].includes(level));
  return el("ul", { class: "safety unread" }, lines.map(([level, text]) => el("li", { class: urgent(level) }, text)));
}

/** On hold since an earlier stop: whom to ring; where no answer can come, the person's own word ends it. */
const holdLines = (context, { ownWord }) => {
  const { words } = context;
  const held = "plan_paused" in context.data.words ? "plan_paused" : "check_waits";
  return [el("p", { class: "strong" }, words(held)), ownWord ? button(words("hold_talked"), () => context.endHold()) : null];
};

/** A check, or what was told before, has stopped the session: the advice, then what to do now. */
export function stoppedScreen(context) {
  const { outcome, topics: named, hold } = context.place.stop;
  const { words } = context;
  const topics = named.filter((topic) => topic in context.data.topics);
  const ring = "check_ring" in context.data.words ? "check_ring" : "check_waits";
  const head = outcome === "not_today" ? "check_stop" : ring;
  const lines = topics.map((topic) => topicLines(context, topic));
  show(
    lines.length ? lines : list(context.data.banner.slice(0, 1), "safety banner"),
    el("h1", {}, words(head)),
    hold ? holdLines(context, hold) : el("p", {}, words("check_kept")),
    context.notSent(),
    context.logBox(),
  );
}

/** "I feel unwell": choose what fits best. The clock of a running set stops at once. */
export function unwellScreen(context, flow) {
  const { words, data } = context;
  context.voice.quiet();
  const choose = (symptom) => () => {
    flow.screen("advice", { topic: symptom.topic });
    context.log("unwell", { topic: symptom.topic });
  };
  const mistake = () => {
    const { from } = context.place;
    context.log("unwell", { topic: "", withdrawn: true });
    flow.screen(from, {});
  };
  show(
    list(data.banner.slice(0, 1), "safety banner"),
    el("h1", {}, words("unwell_heading")),
    el("p", {}, words("other_symptoms")),
    el("div", { class: "symptoms" }, data.symptoms.map((one) => button(one.label, choose(one)))),
    list(data.banner.slice(1), "safety small"),
    button(words("mistake_button"), mistake, { kind: "quiet" }),
  );
}

/** What to do about the symptom that was chosen. The session has stopped. */
export function adviceScreen(context, flow) {
  const { words, place, data } = context;
  show(
    el("h1", { class: "out-of-sight" }, data.symptoms.find((one) => one.topic === place.topic)?.label ?? ""),
    topicLines(context, place.topic),
    el("p", { class: "strong" }, words("unwell_stopped")),
    unreadLines(context),
    context.notSent(),
    button(words("next_button"), () => flow.screen("end", { stopped: true }), { kind: "quiet" }),
    button(words("back_button"), () => flow.screen("unwell"), { kind: "quiet" }),
  );
}

/** Leave whatever is on the screen for the safety page. */
export function openUnwell(context, flow) {
  const { place } = context;
  if (["unwell", "advice"].includes(place.screen)) return;
  const clock = place.clock ? pauseClock(place.clock, context.voice.now()) : null;
  flow.screen("unwell", { from: place.screen, clock });
  context.log("unwell", { topic: "" });
}
