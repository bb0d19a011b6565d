// Stages with a beat: the step test's metronome, or a cycle test's stages; asks for the heart rate before each ends.
import { keepAwake, letSleep } from "./awake.js";
import { fill, valueOf } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { left, whileRunning } from "./time.js";
import { wordsOf } from "./words.js";

const ASK_MS = 15000; // the heart rate is taken in the last 15 seconds
const AHEAD_MS = 250;

export class StagesClock {
  constructor(root, config) {
    this.config = config;
    this.kept = new Kept(`clock-${config.key}`);
    this.words = wordsOf(config);
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
    this.panel.say(this.words("stage_begin", { title: this.now.title }));
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
      this.panel.say(this.words("stage_ask"));
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
    const step = this.words(`beat_${1 + (Math.floor(gone / every) % 4)}`);
    if (this.beat.textContent !== step) { this.beat.textContent = step; }
  }

  end() {
    this.kept.write({ startedAt: null, ended: true });
    letSleep();
    this.panel.flash("end");
    this.draw();
    this.panel.say(this.words("stage_ended", { title: this.now.title }));
  }

  next() { this.kept.write({ stage: this.state.stage + 1, ended: false }); this.draw(); }
  again() { this.kept.write({ startedAt: null, ended: false }); letSleep(); this.draw(); }
  clear() { this.kept.clear(); letSleep(); this.draw(); }

  rateBox() {
    const id = `clock-${this.config.key}-rate`;
    const input = el("input", { id, inputmode: "numeric", autocomplete: "off", size: "6", value: valueOf(this.now.box), on: { input: () => fill(this.now.box, input.value) } });
    return el("div", { class: "field" }, el("label", { for: id }, this.words("stage_rate", { title: this.now.title.toLowerCase() })), input);
  }

  draw() {
    const { panel, now, words } = this;
    const { stage, startedAt, ended } = this.state;
    const more = stage + 1 < this.config.stages.length;
    panel.body.replaceChildren(...[startedAt && now.beats ? this.beat : null, (startedAt || ended) && now.box ? this.rateBox() : null].filter(Boolean));
    if (startedAt) {
      panel.offer(button(words("stage_end_now"), () => this.end(), "big"), button(words("stage_again"), () => this.again(), "quiet"));
      return;
    }
    panel.showTime(left(ended ? 0 : now.whole));
    panel.say(words(ended ? "stage_over" : "stage_title", { title: now.title }), { aloud: false });
    panel.offer(ended ? more && button(words("stage_next"), () => this.next(), "big") : button(words("start_named", { title: now.title.toLowerCase() }), () => this.start(), "big"),
      (stage > 0 || ended) && button(words("clear_clock"), () => this.clear(), "quiet"));
  }
}
