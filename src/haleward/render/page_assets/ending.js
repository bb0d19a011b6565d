// The end: what was done, the whole-session number, anything that worried, a note, and the advice for the days after.
import { button, el, list, show } from "./dom.js";
import { effortButtons } from "./effort.js";
import { rateQuestion } from "./rate.js";
import { openUnwell, unreadLines } from "./safety.js";

const doneCounts = (context) => ({
  planned_count: context.sheet.blocks.filter((block) => block.kind === "set" || block.kind === "walk").length,
  done_count: context.place.sets_done ?? 0,
});

const summary = (context, block) => {
  const counts = doneCounts(context);
  if (context.place.stopped || !counts.done_count) return context.words("session_stopped");
  return counts.done_count < counts.planned_count ? context.words("session_done_part", counts) : context.shown(block.lines[0]);
};

const worriedStep = (context, flow) => {
  const { words } = context;
  const yes = () => {
    flow.screen("end", { worried: true, step: "note" });
    context.log("unwell", { topic: "" });
  };
  const no = () => flow.screen("end", { worried: false, step: "note" });
  return [
    el("h1", { class: "question" }, words("log_symptom")),
    el("div", { class: "answers" }, button(words("yes_button"), yes, { kind: "large" }), button(words("no_button"), no, { kind: "large" })),
  ];
};

const noteStep = (context, flow) => {
  const { words, place } = context;
  const box = el("textarea", { id: "note", rows: "4", maxlength: "2000", "aria-describedby": "note-warning" });
  const finish = () => {
    const text = box.value.trim();
    const counts = doneCounts(context);
    flow.screen("done");
    if (text) context.log("note", { text });
    const told = { whole_effort: place.whole_effort ?? null, heart_rate_bpm: place.heart_rate_bpm };
    context.log("done", { ...counts, ...told, worried: place.worried ?? null, stopped: Boolean(place.stopped) });
  };
  return [
    place.worried ? el("p", { class: "stop" }, words("log_symptom_yes")) : null,
    place.worried ? button(words("unwell_button"), () => openUnwell(context, flow), { kind: "unwell" }) : null,
    el("h1", {}, el("label", { for: "note" }, words("log_note"))),
    el("p", { class: "stop", id: "note-warning" }, words("log_note_warning")),
    unreadLines(context),
    box,
    button(words("finish_button"), finish, { kind: "main", "data-main": true }),
  ];
};

const effortStep = (context, flow, block) => {
  const { words, sheet } = context;
  const step = context.data.heart_rate && context.sheet.part_key === "walk" ? "rate" : "worried";
  const choose = (whole_effort) => flow.screen("end", { whole_effort, step });
  return [
    el("h1", {}, summary(context, block)),
    list(context.place.cooled ? context.data.cooled : context.data.cool_down),
    el("h2", {}, words(sheet.effort_scale === "0-10" ? "effort_ask_end" : "effort_ask_end_6_20")),
    effortButtons(context, choose),
    button(words("no_number_button"), () => choose(null), { kind: "quiet" }),
  ];
};

/** After a walk, for those whom the pulse can guide and who count it. */
const rateStep = (context, flow) =>
  rateQuestion(context.words, context.data.heart_rate, (counted) => flow.screen("end", { heart_rate_bpm: counted ?? undefined, step: "worried" }));

/** The questions at the end, one screen each. After "I feel unwell" only the note is asked. */
export function endScreen(context, flow) {
  const block = context.sheet.blocks.at(-1);
  const step = context.place.stopped ? "note" : context.place.step ?? "effort";
  const steps = { effort: effortStep, rate: rateStep, worried: worriedStep, note: noteStep };
  show(steps[step](context, flow, block));
}

/** All told: thanks, the advice for the days after, and whether everything was sent. */
export function doneScreen(context) {
  const { sheet, words } = context;
  show(
    el("h1", {}, summary(context, sheet.blocks.at(-1))),
    context.logBox(),
    el("h2", {}, words("after_heading")),
    list(sheet.after_lines.map(context.shown)),
  );
}
