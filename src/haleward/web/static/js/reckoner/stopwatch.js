// A stopwatch with trials: each stop fills the next box. A trial that went wrong is taken back and done again.
import { keepAwake, letSleep } from "./awake.js";
import { fill } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { hundredths, whileRunning } from "./time.js";

export class Stopwatch {
  constructor(root, config) {
    this.config = config;
    this.kept = new Kept(`clock-${config.key}`);
    this.panel = new Panel(root, config);
    this.trials = el("ol", { class: "clock-trials" });
    this.draw();
    if (this.state.startedAt) { this.run(); }
  }

  get state() { return { times: [], ...this.kept.read() }; }
  get most() { return this.config.most_s ? this.config.most_s * 1000 : Infinity; }
  gone() { return Math.min(this.most, Date.now() - this.state.startedAt); }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now() });
    tones(1);
    this.draw();
    this.panel.say("Go.");
    this.run();
  }

  run() {
    keepAwake();
    whileRunning(() => {
      if (!this.state.startedAt) { return false; }
      this.panel.showTime(hundredths(this.gone()));
      if (this.gone() < this.most) { return true; }
      this.stop();
      return false;
    });
  }

  stop() {
    const ms = this.gone();
    this.kept.write({ startedAt: null, times: [...this.state.times, ms] });
    if (ms >= this.most) { tones(3); }
    letSleep();
    this.panel.flash("once");
    this.draw();
    this.panel.say(`${hundredths(ms)} seconds.`);
  }

  takeBack() {
    this.kept.write({ startedAt: null, times: this.state.startedAt ? this.state.times : this.state.times.slice(0, -1) });
    letSleep();
    this.draw();
  }

  draw() {
    const { panel, config } = this;
    const { startedAt, times } = this.state;
    this.trials.replaceChildren(...times.map((ms) => el("li", {}, `${hundredths(ms)} s`)));
    panel.body.replaceChildren(this.trials);
    if (startedAt || times.length || this.touched) {
      config.into.forEach((name, index) => { if (index < times.length || this.touched) { fill(name, index < times.length ? hundredths(times[index]) : ""); } });
      this.touched = true;
    }
    if (startedAt) {
      panel.offer(button("Stop", () => this.stop(), "big"), button("Take it back", () => this.takeBack(), "quiet"));
      return;
    }
    panel.showTime(times.length ? hundredths(times.at(-1)) : "0.00");
    const left = config.into.length - times.length;
    const next = left === config.into.length ? "Ready." : left ? `Trial ${times.length + 1} of ${config.into.length} may follow.` : "All trials done.";
    panel.say(next, { aloud: false });
    panel.offer(left > 0 && button(times.length ? "Start the next" : "Start", () => this.start(), "big"),
      times.length > 0 && button("Take the last one back", () => this.takeBack(), "quiet"));
  }
}
