// What can be pressed at every moment of a movement: too hard, too easy, skip, say it again.
import { announce, button, el } from "./dom.js";
import { setOf } from "./context.js";

/** The row of controls, and the line that answers them. `pause()` stops a running clock. */
export function movementControls(context, flow, { pause = () => {}, again, extra = [] }) {
  const { words, voice } = context;
  const block = context.block();
  const exercise = context.exercise();
  const reply = el("p", { class: "reply", role: "status" });
  const say = (...texts) => {
    reply.replaceChildren(...texts.map((text) => el("span", {}, text)));
    voice.say(texts.join(" "));
  };
  const weighted = exercise.kit !== "own_weight";
  const hard = () => {
    pause();
    context.log("feel", { ...setOf(block, exercise), feel: "too_hard" });
    say(words("hard_said"), exercise.easier, words(weighted ? "early_hard" : "early_hard_no_kit"), words("again_exercise"));
  };
  const easy = () => {
    context.log("feel", { ...setOf(block, exercise), feel: "too_easy" });
    say(words(weighted ? "easy_said" : "easy_said_no_kit"));
  };
  const skip = () => {
    context.log("skip", setOf(block, exercise));
    announce(words("skip_said"));
    flow.skipExercise();
  };
  return el(
    "div",
    { class: "controls" },
    reply,
    el(
      "div",
      { class: "row" },
      button(words("repeat_button"), again, { "data-again": true }),
      button(words("too_hard_button"), hard),
      button(words("too_easy_button"), easy),
      button(words("skip_button"), skip),
      extra,
    ),
  );
}
