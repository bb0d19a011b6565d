// Stages with a beat: the step test's metronome, or a cycle test's stages; asks for the heart rate before each ends.
import { keepAwake, letSleep } from "./awake.js";
import { fill, valueOf } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { left, whileRunning } from "./time.js";

const ASK_MS = 15000; // the heart rate is taken in the last 15 seconds
const AHEAD_MS = 250;

export class StagesClock {
  constructor(root, config) {
    this.config = config;
    this.kept = new Kept(`clock-${config.key}`);
    this.panel = new Panel(root, config);
    this.beat = el("p", { class: "clock-beat", "aria-hidden": "true" });
    this.draw();
    if (this.state.startedAt) { this.run(); }
  }

  get state() { return { stage: 0, ...this.kept.read() }; }
  get now() { const [title, seconds, beats, box] = this.config.stages[this.state.stage]; return { title, whole: seconds * 1000, beats, box }; }
  gone() { return Date.now() - this.state.startedAt; }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now() });
    this.draw();
    this.panel.say(`${this.now.title}. Begin.`);
    this.run();
  }

  run() {
    keepAwake();
    this.sounded = this.now.beats ? Math.floor(this.gone() / (60000 / this.now.beats)) : 0;
    this.asked = this.gone() > this.now.whole - ASK_MS;
    whileRunning(() => this.turn());
  }

  turn() {
    if (!this.state.startedAt) { return false; }
    const gone = this.gone();
    this.panel.showTime(left(this.now.whole - gone));
    this.beatAhead(gone);
    if (!this.asked && gone >= this.now.whole - ASK_MS) {
      this.asked = true;
      this.panel.say("Take the heart rate and ask the effort now.");
      this.panel.flash("once");
    }
    if (gone < this.now.whole) { return true; }
    tones(3, { pitch: "high" });
    this.end();
    return false;
  }

  beatAhead(gone) {
    if (!this.now.beats) { return; }
    const every = 60000 / this.now.beats;
    while (this.sounded * every <= gone + AHEAD_MS) {
      const at = this.sounded * every;
      const up = this.sounded % 4 < 2;
      if (at > gone - AHEAD_MS) { tones(1, { inMs: at - gone, pitch: up ? "tone" : "low" }); }
      this.sounded += 1;
    }
    const words = ["Up", "up", "Down", "down"][Math.floor(gone / every) % 4];
    if (this.beat.textContent !== words) { this.beat.textContent = words; }
  }

  end() {
    this.kept.write({ startedAt: null, ended: true });
    letSleep();
    this.panel.flash("end");
    this.draw();
    this.panel.say(`${this.now.title} has ended. Enter its heart rate.`);
  }

  next() { this.kept.write({ stage: this.state.stage + 1, ended: false }); this.draw(); }
  again() { this.kept.write({ startedAt: null, ended: false }); letSleep(); this.draw(); }
  clear() { this.kept.clear(); letSleep(); this.draw(); }

  rateBox() {
    const id = `clock-${this.config.key}-rate`;
    const input = el("input", { id, inputmode: "numeric", autocomplete: "off", size: "6", value: valueOf(this.now.box), on: { input: () => fill(this.now.box, input.value) } });
    return el("div", { class: "field" }, el("label", { for: id }, `Heart rate of ${this.now.title.toLowerCase()}, bpm`), input);
  }

  draw() {
    const { panel, now } = this;
    const { stage, startedAt, ended } = this.state;
    const more = stage + 1 < this.config.stages.length;
    panel.body.replaceChildren(...[startedAt && now.beats ? this.beat : null, (startedAt || ended) && now.box ? this.rateBox() : null].filter(Boolean));
    if (startedAt) {
      panel.offer(button("End this stage now", () => this.end(), "big"), button("Begin the stage again", () => this.again(), "quiet"));
      return;
    }
    panel.showTime(left(ended ? 0 : now.whole));
    panel.say(ended ? `${now.title} has ended.` : `${now.title}.`, { aloud: false });
    panel.offer(ended ? more && button("On to the next stage", () => this.next(), "big") : button(`Start: ${now.title.toLowerCase()}`, () => this.start(), "big"),
      (stage > 0 || ended) && button("Clear the clock", () => this.clear(), "quiet"));
  }
}
