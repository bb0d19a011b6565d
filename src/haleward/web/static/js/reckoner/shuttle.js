// The shuttle clock: signals at the exact times of the test, levels announced, falls behind counted.
import { keepAwake, letSleep } from "./awake.js";
import { fill } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { minutes, whileRunning } from "./time.js";
import { wordsOf } from "./words.js";

const COUNT_IN_MS = 4000;
const AHEAD_MS = 300; // tones are handed to the sound hardware this long before they are due

/** The moment of every signal from the start of level 1, and whether the level rises with it. */
export function signalsOf(levels) {
  const all = [];
  let begins = 0;
  for (const [level, shuttles, interval] of levels) {
    for (let number = 1; number <= shuttles; number += 1) {
      all.push({ at: (begins + number * interval) * 1000, level, shuttle: number, last: number === shuttles });
    }
    begins += shuttles * interval;
  }
  return all;
}

export class ShuttleClock {
  constructor(root, config) {
    this.config = config;
    this.signals = signalsOf(config.levels);
    this.kept = new Kept(`clock-${config.key}`);
    this.words = wordsOf(config);
    this.panel = new Panel(root, config);
    this.tally = el("p", { class: "clock-tally" });
    this.draw();
    if (this.running) { this.run(); }
  }

  get state() { return { behind: [], ...this.kept.read() }; }
  get started() { return Boolean(this.state.startedAt); }
  get running() { return this.started && this.state.done === undefined; }
  /** Milliseconds since level 1 began; less than 0 while counting in. */
  gone() { return Date.now() - this.state.startedAt - COUNT_IN_MS; }
  passed(gone = this.gone()) { return this.signals.filter((signal) => signal.at <= gone).length; }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now(), behind: [], done: undefined, reason: "" });
    this.draw();
    this.run();
    this.panel.say(this.words("level_in"));
  }

  run() {
    keepAwake();
    this.seen = this.passed();
    this.sounded = this.seen;
    this.beganLevelOne = this.gone() > 0;
    whileRunning(() => this.turn());
  }

  turn() {
    if (!this.running) { return false; }
    const gone = this.gone();
    this.panel.showTime(gone < 0 ? `−${Math.ceil(-gone / 1000)}` : minutes(gone));
    this.soundAhead(gone);
    if (gone >= 0 && !this.beganLevelOne) { this.beganLevelOne = true; this.panel.say(this.words("level_one")); this.panel.flash("level"); }
    const passed = this.passed(gone);
    if (passed > this.seen) {
      this.seen = passed;
      this.signalled(this.signals[passed - 1]);
    }
    return this.running;
  }

  soundAhead(gone) {
    if (gone < 0 && gone > -AHEAD_MS && !this.rose) { this.rose = true; tones(3, { inMs: -gone }); }
    while (this.sounded < this.signals.length && this.signals[this.sounded].at <= gone + AHEAD_MS) {
      const signal = this.signals[this.sounded];
      if (signal.at > gone - AHEAD_MS) { tones(signal.last ? 3 : 1, { inMs: signal.at - gone }); }
      this.sounded += 1;
    }
  }

  signalled(signal) {
    this.panel.flash(signal.last ? "level" : "once");
    if (this.seen >= this.signals.length) { this.finish("completed"); return; }
    if (signal.last) { this.panel.say(this.words("level_up", { level: signal.level + 1 })); }
    this.count();
  }

  behind() {
    const at = this.seen;
    const all = [...this.state.behind.filter((one) => one !== at), at];
    this.kept.write({ behind: all });
    const twice = all.includes(at - 1);
    this.panel.say(this.words(twice ? "behind_twice" : "behind_once"));
    if (twice) { this.panel.flash("end"); }
    this.count();
  }

  /** Shuttles that were done: all signals so far, without those at which the person was behind at the end. */
  finish(reason) {
    let done = this.passed();
    while (done > 0 && this.state.behind.includes(done)) { done -= 1; }
    this.kept.write({ done, reason, endedAt: Date.now() });
    letSleep();
    this.draw();
  }

  correct(by) {
    this.kept.write({ done: Math.min(this.signals.length, Math.max(0, this.state.done + by)) });
    this.count();
  }

  count() {
    const done = this.running ? this.passed() : (this.state.done ?? 0);
    const last = done ? this.signals[done - 1] : null;
    const completed = last ? (last.last ? last.level : last.level - 1) : 0;
    const further = last && !last.last ? last.shuttle : 0;
    const metres = done * this.config.shuttle_m;
    const shuttles = this.config.levels[completed]?.[1] ?? further;
    const where = this.running ? this.words("shuttle_where", { level: completed + 1, shuttle: further + 1, shuttles }) : this.words("shuttle_done", { level: completed, further });
    this.tally.textContent = this.words("shuttle_tally", { where, metres, behind: this.state.behind.length });
    if (this.state.done === undefined) { return; }
    fill(this.config.fills.completed_level, completed);
    fill(this.config.fills.further_shuttles, further);
    if (!this.config.fills.completed_level) { fill(this.config.fills.distance_m, metres); }
  }

  draw() {
    const { panel, words } = this;
    panel.body.replaceChildren(this.tally);
    if (!this.started) {
      panel.showTime("0:00");
      panel.say(words("shuttle_ready"), { aloud: false });
      this.tally.textContent = "";
      panel.offer(button(words("start"), () => this.start(), "big"));
      return;
    }
    if (this.running) {
      panel.offer(button(words("behind"), () => this.behind(), "big"), button(words("stop_test"), () => this.askReason(), "quiet"));
    } else {
      panel.showTime(minutes(Math.max(0, this.state.endedAt - this.state.startedAt - COUNT_IN_MS)));
      panel.say(words("shuttle_stopped"));
      panel.offer(button(words("shuttle_more"), () => this.correct(1), "quiet"), button(words("shuttle_less"), () => this.correct(-1), "quiet"),
        button(words("clear_clock"), () => this.clear(), "quiet"));
      this.config.marks.forEach(([name, value]) => fill(name, value));
      fill(this.config.fills.stopped_for, this.state.reason);
    }
    this.count();
  }

  askReason() {
    this.panel.say(this.words("why_test_stops"));
    const reasons = this.config.reasons.filter(([code]) => code !== "completed");
    this.panel.offer(...reasons.map(([code, label]) => button(label, () => this.finish(code), "quiet")), button(this.words("go_on_walking"), () => this.draw(), "big"));
  }

  clear() {
    this.kept.clear();
    this.rose = false;
    Object.values(this.config.fills).forEach((name) => fill(name, ""));
    this.draw();
  }
}
