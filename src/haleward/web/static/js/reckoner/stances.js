// Standing balance: each stance up to its seconds, in order, stopping at the first that is not held.
import { keepAwake, letSleep } from "./awake.js";
import { fill } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { hundredths, left, whileRunning } from "./time.js";

export class StancesClock {
  constructor(root, config) {
    this.config = config;
    this.whole = config.seconds * 1000;
    this.kept = new Kept(`clock-${config.key}-stances`);
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
    this.panel.say("Hold.");
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
    const held = `Held ${hundredths(ms).replace(/\.00$/, "")} seconds.`;
    this.panel.say(`${held} ${this.failed ? "The test stops here." : this.over ? "All stances held." : `Next: ${this.config.stances[this.state.times.length][1]}.`}`);
  }

  takeBack() {
    this.kept.write({ startedAt: null, times: this.state.startedAt ? this.state.times : this.state.times.slice(0, -1) });
    letSleep();
    this.draw();
  }

  draw() {
    const { panel, config } = this;
    const { startedAt, times } = this.state;
    const name = config.stances[times.length]?.[1] ?? "";
    this.list.replaceChildren(...times.map((ms, index) => el("li", {}, `${config.stances[index][1]}: ${hundredths(ms)} s`)));
    panel.body.replaceChildren(this.list);
    if (times.length || this.touched) {
      config.stances.forEach(([box], index) => fill(box, index < times.length ? hundredths(times[index]).replace(/\.00$/, "") : ""));
      this.touched = true;
    }
    if (startedAt) {
      panel.offer(button("Lost it", () => this.ended(), "big"), button("Take it back", () => this.takeBack(), "quiet"));
      return;
    }
    panel.showTime(left(this.whole));
    panel.say(this.failed ? "The test stops here." : this.over ? "All stances held." : `${name}. Start when the feet are placed and the hold is let go.`, { aloud: false });
    panel.offer(!this.over && button(`Start: ${name.toLowerCase()}`, () => this.start(), "big"), times.length > 0 && button("Take the last one back", () => this.takeBack(), "quiet"));
  }
}
