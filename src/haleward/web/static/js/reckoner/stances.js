// Standing balance: each stance up to its seconds, in order, stopping at the first that is not held.
import { keepAwake, letSleep } from "./awake.js";
import { fill } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { hundredths, left, whileRunning } from "./time.js";
import { wordsOf } from "./words.js";

export class StancesClock {
  constructor(root, config) {
    this.config = config;
    this.whole = config.seconds * 1000;
    this.kept = new Kept(`clock-${config.key}-stances`);
    this.words = wordsOf(config);
    this.panel = new Panel(root, config);
    this.list = el("ol", { class: "clock-trials" });
    this.draw();
    if (this.state.startedAt) { this.run(); }
  }

  get state() { return { times: [], ...this.kept.read() }; }
  gone() { return Math.min(this.whole, Date.now() - this.state.startedAt); }
  get failed() { return this.state.times.some((ms) => ms < this.whole); }
  get over() { return this.failed || this.state.times.length === this.config.stances.length; }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now() });
    tones(1);
    this.draw();
    this.panel.say(this.words("hold"));
    this.run();
  }

  run() {
    keepAwake();
    whileRunning(() => {
      if (!this.state.startedAt) { return false; }
      this.panel.showTime(left(this.whole - this.gone()));
      if (this.gone() < this.whole) { return true; }
      tones(2);
      this.ended();
      return false;
    });
  }

  ended() {
    const ms = this.gone();
    this.kept.write({ startedAt: null, times: [...this.state.times, ms] });
    letSleep();
    this.panel.flash(ms < this.whole ? "end" : "once");
    this.draw();
    const held = this.words("held", { seconds: hundredths(ms).replace(/\.00$/, "") });
    this.panel.say(`${held} ${this.outcome() ?? this.words("stance_next", { title: this.config.stances[this.state.times.length][1] })}`);
  }

  /** What the whole test says so far; nothing while a stance may follow. */
  outcome() { return this.failed ? this.words("stances_failed") : this.over ? this.words("stances_held") : null; }

  takeBack() {
    this.kept.write({ startedAt: null, times: this.state.startedAt ? this.state.times : this.state.times.slice(0, -1) });
    letSleep();
    this.draw();
  }

  draw() {
    const { panel, config, words } = this;
    const { startedAt, times } = this.state;
    const name = config.stances[times.length]?.[1] ?? "";
    this.list.replaceChildren(...times.map((ms, index) => el("li", {}, words("time_line", { title: config.stances[index][1], seconds: hundredths(ms) }))));
    panel.body.replaceChildren(this.list);
    if (times.length || this.touched) {
      config.stances.forEach(([box], index) => fill(box, index < times.length ? hundredths(times[index]).replace(/\.00$/, "") : ""));
      this.touched = true;
    }
    if (startedAt) {
      panel.offer(button(words("lost_it"), () => this.ended(), "big"), button(words("take_back"), () => this.takeBack(), "quiet"));
      return;
    }
    panel.showTime(left(this.whole));
    panel.say(this.outcome() ?? words("stance_ready", { title: name }), { aloud: false });
    panel.offer(!this.over && button(words("start_named", { title: name.toLowerCase() }), () => this.start(), "big"), times.length > 0 && button(words("take_last_back"), () => this.takeBack(), "quiet"));
  }
}
