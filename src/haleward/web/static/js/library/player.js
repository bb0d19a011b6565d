// Plays a movement in place of its two pictures: pause, slower, and back to the pictures. Without script the pictures stay.
import { makeFigure } from "../player/figure.js";

const SLOWER = 0.5;
const REST_MS = 800;

/** The share of the loop (0 start, 0.5 turning point, 1 start again) at a moment of the repetition. */
function shareAt(ms, pace) {
  const out = pace.out_s * 1000;
  const pause = pace.pause_s * 1000;
  const back = pace.back_s * 1000;
  const at = ms % (out + pause + back + REST_MS);
  if (at < out) { return (0.5 * at) / out; }
  return at < out + pause ? 0.5 : Math.min(1, 0.5 + (0.5 * (at - out - pause)) / back);
}

/** @param {string} words */
function button(words, pressed) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "quiet";
  made.textContent = words;
  made.addEventListener("click", pressed);
  return made;
}

function play(stage, data) {
  const stills = stage.querySelector("[data-stills]");
  const controls = stage.querySelector("[data-controls]");
  const figure = makeFigure(data.figure, stage.dataset.words);
  let rate = 1;
  let at = 0;
  let before = 0;
  let handle = 0;
  const moving = () => handle !== 0;
  const step = (now) => {
    at += Math.min(now - before, 100) * rate;
    before = now;
    figure.draw(shareAt(at, data));
    handle = requestAnimationFrame(step);
  };
  const start = () => { before = performance.now(); handle = requestAnimationFrame(step); };
  const stop = () => { cancelAnimationFrame(handle); handle = 0; };
  const pause = button("Pause", () => {
    if (moving()) { stop(); } else { start(); }
    pause.textContent = moving() ? "Pause" : "Go on";
  });
  const slower = button("Slower", () => {
    rate = rate === 1 ? SLOWER : 1;
    slower.textContent = rate === 1 ? "Slower" : "Usual pace";
  });
  const show = (moves) => {
    stop();
    stills.hidden = moves;
    if (moves) { stills.before(figure.canvas); } else { figure.canvas.remove(); }
    pause.hidden = slower.hidden = !moves;
    toggle.textContent = moves ? "Show the pictures" : "Play the movement";
    if (!moves) { return; }
    figure.draw(shareAt(at, data));
    figure.redraw();
    pause.textContent = "Pause";
    start();
  };
  const toggle = button("", () => show(!stills.hidden));
  controls.replaceChildren(pause, slower, toggle);
  controls.hidden = false;
  window.addEventListener("resize", () => { if (stills.hidden) { figure.redraw(); } });
  show(!matchMedia("(prefers-reduced-motion: reduce)").matches);
}

document.querySelectorAll("[data-player]").forEach(async (stage) => {
  const answer = await fetch(stage.dataset.player);
  if (answer.ok) { play(stage, await answer.json()); }
});
