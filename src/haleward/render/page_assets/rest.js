// The rest: a large countdown from a stored start time, what the movement is good for, and as long as it is needed.
import { announce, button, el, show } from "./dom.js";
import { positionOf, resumeClock, startClock } from "./clock.js";
import { setOf } from "./context.js";

const FEW_EXTRA_RESTS = 3;

const tellMore = (context) => {
  const times = (context.place.rests ?? 0) + 1;
  context.place = { ...context.place, rests: times };
  context.save();
  if (times >= FEW_EXTRA_RESTS) return "rest_more_3";
  return times === 1 ? "rest_more_1" : "rest_more_2";
};

/** Rest until the person presses Ready; the end of the countdown only says that the rest is over. */
export function restScreen(context, flow) {
  const { words, voice, shown } = context;
  const block = context.block();
  const exercise = context.exercise();
  const kept = context.place.clock;
  const clock = !kept ? startClock(voice.now()) : kept.running ? kept : resumeClock(kept, voice.now());
  context.place = { ...context.place, clock };
  context.save();
  const left = el("p", { class: "count time" });
  const told = el("p", { class: "reply", role: "status" });
  let over = false;
  let said = -1;
  const tick = () => {
    const position = positionOf(context.place.clock, voice.now());
    const seconds = Math.max(0, Math.ceil((block.length_ms - position) / 1000));
    left.textContent = seconds ? words("seconds_label", { seconds_left: seconds }) : "";
    const index = block.cues.findLastIndex((cue) => cue.kind === "say" && cue.start_ms - block.start_ms <= position);
    if (index > said) {
      said = index;
      voice.say(block.cues[index].text);
      if (block.cues[index].start_ms - block.start_ms > block.length_ms - 15_000) announce(shown(block.cues[index].text));
    }
    if (!seconds && !over) {
      over = true;
      told.textContent = words("rest_over");
    }
  };
  const more = () => {
    context.log("rest_more", setOf(block, exercise));
    told.replaceChildren(el("span", {}, words(tellMore(context))), el("span", {}, words("rest_more_unwell")));
  };
  show(
    el("h1", {}, shown(block.title)),
    (context.place.reply ?? []).map((line) => el("p", { class: "reply" }, line)),
    left,
    el("div", { class: "why" }, block.lines.map((line) => el("p", {}, shown(line)))),
    told,
    button(words("ready_button"), flow.next, { kind: "main", "data-main": true }),
    button(words("rest_more_button"), more),
    button(words("jump_button"), flow.jump),
    button(words("end_here_button"), flow.end, { kind: "quiet" }),
  );
  tick();
  const handle = setInterval(tick, 250);
  return () => clearInterval(handle);
}

/** A set was far too hard: this movement is over for today, and the next one waits for Ready. */
export function leaveScreen(context, flow) {
  const { words, voice } = context;
  const [head, ...others] = [words("effort_too_hard_stop"), words("rest_more_1"), words("rest_more_unwell")];
  show(
    el("h1", {}, head),
    others.map((line) => el("p", {}, line)),
    button(words("ready_button"), flow.skipExercise, { kind: "main", "data-main": true }),
    button(words("end_here_button"), flow.end, { kind: "quiet" }),
  );
  voice.say([head, others[0]]);
}
