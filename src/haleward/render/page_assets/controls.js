// What can be pressed at every moment of a movement: too hard, too easy, easier, skip, all movements, say it again.
import { announce, button, el } from "./dom.js";
import { setOf } from "./context.js";

const versionOf = (context) => context.place.versions?.[context.block().exercise] ?? "";

const VERSIONS = { easier: ["easier_on", "too_hard"], harder: ["harder_on", "too_easy"] };

/** Do the movement in its easier or harder version, or ("") in the usual one. The team hears which. */
const choose = (context, version) => {
  const { place } = context;
  context.place = { ...place, versions: { ...place.versions, [context.block().exercise]: version } };
  context.save();
  if (version) context.log("feel", { ...setOf(context.block(), context.exercise()), feel: VERSIONS[version][1] });
};

const paint = (context, box) => {
  const { words } = context;
  const exercise = context.exercise();
  const version = versionOf(context);
  const offer = (name, label) => button(words(label), () => {
    choose(context, name);
    paint(context, box);
    if (name) context.voice.say(context.shown(exercise[name]));
  });
  const easier = exercise.easier ? offer("easier", "easier_button") : null;
  const harder = exercise.harder_agreed && exercise.harder ? offer("harder", "harder_button") : null;
  const doing = () => el("div", { class: "reply", role: "status" }, el("span", {}, words(VERSIONS[version][0])), el("span", {}, context.shown(exercise[version])));
  const parts = version ? [doing(), offer("", "easier_off_button")] : [el("div", { class: "row" }, easier, harder)];
  box.replaceChildren(...parts);
};

/** The version being done, or the versions on offer: easier always, harder only as the lead agreed. */
export function versionBox(context) {
  const box = el("div", { class: "version", id: "version" });
  paint(context, box);
  return box;
}

/** The row of controls, and the line that answers them. `pause()` stops a running clock. */
export function movementControls(context, flow, { pause = () => {}, again, extra = [] }) {
  const { words, voice } = context;
  const block = context.block();
  const exercise = context.exercise();
  const reply = el("p", { class: "reply", role: "status" });
  const say = (...texts) => {
    reply.replaceChildren(...texts.map((text) => el("span", {}, text)));
    voice.say(texts);
  };
  const weighted = exercise.kit !== "own_weight";
  const hard = () => {
    pause();
    choose(context, "easier");
    const box = document.getElementById("version");
    if (box) paint(context, box);
    say(words("hard_said"), context.shown(exercise.easier), words(weighted ? "early_hard" : "early_hard_no_kit"), words("again_exercise"));
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
      button(words("jump_button"), flow.jump),
    ),
  );
}
