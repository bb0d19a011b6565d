// A countdown with a tap counter: chair stands in 30 seconds, the two-minute march.
import { keepAwake, letSleep } from "./awake.js";
import { fill } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { left, whileRunning } from "./time.js";
import { wordsOf } from "./words.js";

export class CountClock {
  constructor(root, config) {
    this.config = config;
    this.whole = config.seconds * 1000;
    this.kept = new Kept(`clock-${config.key}`);
    this.words = wordsOf(config);
    this.panel = new Panel(root, config);
    this.tally = el("p", { class: "clock-tally clock-count" });
    this.draw();
    if (this.running) { this.run(); }
  }

  get state() { return { count: 0, ...this.kept.read() }; }
  get started() { return Boolean(this.state.startedAt); }
  get over() { return this.started && Date.now() - this.state.startedAt >= this.whole; }
  get running() { return this.started && !this.over; }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now(), count: 0 });
    tones(1);
    this.draw();
    this.panel.say(this.words("go"));
    this.panel.flash("once");
    this.run();
  }

  run() {
    keepAwake();
    whileRunning(() => {
      if (!this.started) { return false; }
      this.panel.showTime(left(this.whole - (Date.now() - this.state.startedAt)));
      if (!this.over) { return true; }
      tones(3);
      this.panel.flash("end");
      letSleep();
      this.draw();
      return false;
    });
  }

  tap(by) {
    this.kept.write({ count: Math.max(0, this.state.count + by) });
    this.count();
  }

  count() {
    this.tally.textContent = this.words("count_tally", { count: this.state.count, counts: this.config.counts });
    if (this.started) { fill(this.config.into, this.state.count); }
  }

  draw() {
    const { panel, words } = this;
    panel.body.replaceChildren(this.tally);
    if (!this.started) {
      panel.showTime(left(this.whole));
      panel.say(words("ready"), { aloud: false });
      panel.offer(button(words("start"), () => this.start(), "big"));
    } else if (this.running) {
      panel.offer(button(words("count_one"), () => this.tap(1), "big"), button(words("undo_last"), () => this.tap(-1), "quiet"), button(words("clear"), () => this.clear(), "quiet"));
    } else {
      panel.showTime(left(0));
      panel.say(words("count_over", { count: this.state.count, counts: this.config.counts }));
      panel.offer(button(words("one_more"), () => this.tap(1), "quiet"), button(words("one_less"), () => this.tap(-1), "quiet"), button(words("clear_clock"), () => this.clear(), "quiet"));
    }
    this.count();
  }

  clear() {
    this.kept.clear();
    letSleep();
    fill(this.config.into, "");
    this.draw();
  }
}
