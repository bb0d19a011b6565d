// A stopwatch with trials: each stop fills the next box. A trial that went wrong is taken back and done again.
import { keepAwake, letSleep } from "./awake.js";
import { fill } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { hundredths, whileRunning } from "./time.js";
import { wordsOf } from "./words.js";

export class Stopwatch {
  constructor(root, config) {
    this.config = config;
    this.kept = new Kept(`clock-${config.key}`);
    this.words = wordsOf(config);
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
    this.panel.say(this.words("go"));
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
    this.panel.say(this.words("seconds", { seconds: hundredths(ms) }));
  }

  takeBack() {
    this.kept.write({ startedAt: null, times: this.state.startedAt ? this.state.times : this.state.times.slice(0, -1) });
    letSleep();
    this.draw();
  }

  draw() {
    const { panel, config, words } = this;
    const { startedAt, times } = this.state;
    this.trials.replaceChildren(...times.map((ms) => el("li", {}, words("seconds_short", { seconds: hundredths(ms) }))));
    panel.body.replaceChildren(this.trials);
    if (startedAt || times.length || this.touched) {
      config.into.forEach((name, index) => { if (index < times.length || this.touched) { fill(name, index < times.length ? hundredths(times[index]) : ""); } });
      this.touched = true;
    }
    if (startedAt) {
      panel.offer(button(words("stop"), () => this.stop(), "big"), button(words("take_back"), () => this.takeBack(), "quiet"));
      return;
    }
    panel.showTime(times.length ? hundredths(times.at(-1)) : "0.00");
    const left = config.into.length - times.length;
    const next = left === config.into.length ? words("ready") : left ? words("trial_next", { number: times.length + 1, trials: config.into.length }) : words("trials_done");
    panel.say(next, { aloud: false });
    panel.offer(left > 0 && button(words(times.length ? "start_next" : "start"), () => this.start(), "big"),
      times.length > 0 && button(words("take_last_back"), () => this.takeBack(), "quiet"));
  }
}
