// Starts what the page holds: clocks, the form that keeps what is typed, the result to be read first.
import { putBack } from "./boxes.js";
import { CountClock } from "./count.js";
import { forgetAll } from "./kept.js";
import { keepForm } from "./keep_form.js";
import { ShuttleClock } from "./shuttle.js";
import { StagesClock } from "./stages.js";
import { StancesClock } from "./stances.js";
import { Stopwatch } from "./stopwatch.js";
import { WalkClock } from "./walk.js";

const CLOCKS = { walk: WalkClock, shuttle: ShuttleClock, count: CountClock, stopwatch: Stopwatch, stances: StancesClock, stages: StagesClock };

document.querySelectorAll("form[data-keep]").forEach(keepForm);
document.querySelectorAll("[data-clock]").forEach((root) => putBack(() => new CLOCKS[root.dataset.clock](root, JSON.parse(root.dataset.config))));
document.querySelectorAll("[data-clock-fold]").forEach((fold) => { fold.hidden = false; });
document.querySelectorAll("[data-fresh]").forEach((link) => link.addEventListener("click", forgetAll));
document.querySelectorAll("form.assessment").forEach((form) => form.addEventListener("submit", forgetAll));
// On paper the working stands open.
window.addEventListener("beforeprint", () => document.querySelectorAll("#answer details").forEach((fold) => { fold.open = true; }));
document.querySelectorAll("[data-print]").forEach((one) => {
  one.hidden = false;
  one.addEventListener("click", () => window.print());
});
// While a clock runs there is one thing on the page to do: what was to be read before is folded away.
document.querySelectorAll("[data-clock]").forEach((root) => root.addEventListener("click", (event) => {
  const how = document.querySelector(".how");
  if (!how?.open || !event.target.closest(".big")) { return; }
  how.open = false;
  root.scrollIntoView({ block: "start" });
}));
document.getElementById("answer")?.focus();
