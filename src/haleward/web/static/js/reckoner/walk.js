// The walk clock: six minutes with the neutral phrase at each, laps with undo, rests, stop early with its reason.
import { keepAwake, letSleep } from "./awake.js";
import { fill, numberIn, valueOf } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { left, minutes, whileRunning } from "./time.js";
import { wordsOf } from "./words.js";

export class WalkClock {
  constructor(root, config) {
    this.config = config;
    this.kept = new Kept(`clock-${config.key}`);
    this.words = wordsOf(config);
    this.panel = new Panel(root, config);
    this.whole = config.seconds * 1000;
    this.lap = this.box("lap_m", this.words("lap_m"), "lapM", this.words("lap_m_help"));
    this.beyond = this.box("remainder_m", this.words("beyond_m"), "beyondM", "");
    this.tally = el("p", { class: "clock-tally" });
    this.rests = el("ul", { class: "clock-rests" });
    this.draw();
    if (this.running) { this.run(); }
  }

  get state() { return { laps: [], rests: [], ...this.kept.read() }; }
  get running() { return Boolean(this.state.startedAt) && !this.state.endedAt && this.elapsed() < this.whole; }
  get started() { return Boolean(this.state.startedAt); }
  elapsed() { return Math.min(this.whole, (this.state.endedAt ?? Date.now()) - this.state.startedAt); }

  /** One of the clock's own boxes; it follows the box of the form that it fills. */
  box(role, label, name, help) {
    const id = `clock-${this.config.key}-${role}`;
    const input = el("input", { id, inputmode: "decimal", autocomplete: "off", size: "6", value: this.state[name] ?? valueOf(this.config.fills[role]) });
    input.addEventListener("input", () => {
      this.kept.write({ [name]: input.value });
      fill(this.config.fills[role], input.value);
      this.count();
    });
    return el("div", { class: "field" }, el("label", { for: id }, label), help && el("p", { class: "help" }, help), input);
  }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now(), endedAt: null, laps: [], rests: [], called: 0 });
    this.draw();
    this.panel.say(this.words("walking"));
    this.run();
  }

  run() {
    keepAwake();
    this.stopTurning = whileRunning(() => this.turn());
  }

  turn() {
    if (!this.started || this.state.endedAt) { return false; }
    const gone = Date.now() - this.state.startedAt;
    this.panel.showTime(left(this.whole - gone));
    const minute = Math.min(Math.floor(gone / 60000), this.config.calls.length);
    if (minute > (this.state.called ?? 0)) { this.call(minute); }
    if (gone >= this.whole) { this.end(this.state.startedAt + this.whole, ""); return false; }
    return true;
  }

  call(minute) {
    this.kept.write({ called: minute });
    this.panel.say(this.config.calls[minute - 1]);
    this.panel.flash(minute === this.config.calls.length ? "end" : "once");
    tones(minute === this.config.calls.length ? 3 : 1);
  }

  end(at, reason) {
    const rests = this.state.rests.map((rest) => ({ ...rest, to: rest.to ?? at }));
    this.kept.write({ endedAt: at, reason, rests });
    letSleep();
    this.draw();
  }

  lapDone() { this.kept.write({ laps: [...this.state.laps, Date.now()] }); this.count(); }
  undo() { this.kept.write({ laps: this.state.laps.slice(0, -1) }); this.count(); }

  rest() {
    const rests = this.state.rests;
    const open = rests.at(-1) && !rests.at(-1).to;
    const all = open ? [...rests.slice(0, -1), { ...rests.at(-1), to: Date.now() }] : [...rests, { from: Date.now() }];
    this.kept.write({ rests: all });
    this.panel.say(this.words(open ? "walking_again" : "resting"));
    this.draw();
  }

  /** Counts into the form, and the raw result in words: it needs no network. */
  count() {
    const { laps, rests } = this.state;
    const lapM = numberIn(this.state.lapM ?? valueOf(this.config.fills.lap_m));
    const beyond = numberIn(this.state.beyondM ?? valueOf(this.config.fills.remainder_m)) || 0;
    const metres = laps.length * lapM + (this.state.endedAt ? beyond : 0);
    const lapsText = this.words(laps.length === 1 ? "lap_one" : "laps", { laps: laps.length });
    this.tally.textContent = Number.isNaN(metres) ? lapsText : this.words("laps_m", { laps: lapsText, metres: Math.round(metres * 100) / 100 });
    this.undoButton?.toggleAttribute("disabled", laps.length === 0);
    if (!this.started) { return; }
    fill(this.config.fills.laps, laps.length);
    fill(this.config.fills.rests, rests.length);
    if (this.state.endedAt && !Number.isNaN(metres) && !this.config.fills.laps) { fill(this.config.fills.distance_m, Math.round(metres * 100) / 100); }
  }

  listRests() {
    const from = (moment) => minutes(moment - this.state.startedAt);
    this.rests.replaceChildren(...this.state.rests.map((rest, index) => el("li", {}, this.words(rest.to ? "rest_shut" : "rest_open", { number: index + 1, from: from(rest.from), to: rest.to && from(rest.to) }))));
  }

  draw() {
    const { panel, words } = this;
    this.listRests();
    if (!this.started) {
      panel.showTime(left(this.whole));
      panel.say(words("ready"), { aloud: false });
      panel.body.replaceChildren(this.lap);
      panel.offer(button(words("start_walk"), () => this.start(), "big"));
    } else if (this.running) {
      panel.showTime(left(this.whole - this.elapsed()));
      panel.body.replaceChildren(this.tally, this.rests);
      const resting = this.state.rests.at(-1) && !this.state.rests.at(-1).to;
      this.undoButton = button(words("undo_lap"), () => this.undo(), "quiet");
      panel.offer(button(words("lap"), () => this.lapDone(), "big"), this.undoButton,
        button(words(resting ? "walks_again" : "rests"), () => this.rest(), "quiet"), button(words("stop_early"), () => this.askReason(), "quiet"));
    } else {
      if (!this.state.endedAt) { this.end(this.state.startedAt + this.whole, ""); return; }
      const early = this.elapsed() < this.whole;
      panel.showTime(minutes(this.elapsed()));
      panel.say(early ? words("walk_stopped", { time: minutes(this.elapsed()) }) : words("walk_over", { call: this.config.calls.at(-1) }));
      panel.body.replaceChildren(this.tally, this.lap, this.beyond, this.rests);
      this.undoButton = button(words("lap_less"), () => this.undo(), "quiet");
      panel.offer(button(words("lap_more"), () => this.lapDone(), "quiet"), this.undoButton, button(words("clear_clock"), () => this.clear(), "quiet"));
      this.config.marks.forEach(([name, value]) => fill(name, value));
      fill(this.config.fills.stopped_for, this.state.reason || (early ? "" : "completed"));
    }
    this.count();
  }

  askReason() {
    const early = this.config.reasons.filter(([code]) => code !== "completed" && code !== "off_pace");
    this.panel.say(this.words("why_walk_stops"));
    this.panel.offer(...early.map(([code, label]) => button(label, () => this.end(Date.now(), code), "quiet")),
      button(this.words("go_on_walking"), () => this.draw(), "big"));
  }

  clear() {
    this.kept.clear();
    ["laps", "rests", "remainder_m", "stopped_for"].forEach((role) => fill(this.config.fills[role], ""));
    this.beyond.querySelector("input").value = "";
    this.draw();
  }
}
