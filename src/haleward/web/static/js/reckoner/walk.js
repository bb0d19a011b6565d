// The walk clock: six minutes with the neutral phrase at each, laps with undo, rests, stop early with its reason.
import { keepAwake, letSleep } from "./awake.js";
import { fill, numberIn, valueOf } from "./boxes.js";
import { button, el } from "./dom.js";
import { Kept } from "./kept.js";
import { Panel } from "./panel.js";
import { readySound, tones } from "./signals.js";
import { left, minutes, whileRunning } from "./time.js";

export class WalkClock {
  constructor(root, config) {
    this.config = config;
    this.kept = new Kept(`clock-${config.key}`);
    this.panel = new Panel(root, config);
    this.whole = config.seconds * 1000;
    this.lap = this.box("lap_m", "Metres for one tap", "lapM", "Length of the course if you tap at each cone; there and back if you tap at the start only.");
    this.beyond = this.box("remainder_m", "Metres beyond the last full lap", "beyondM", "");
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
    return el("div", { class: "field" }, el("label", { for: id }, `${label}, m`), help && el("p", { class: "help" }, help), input);
  }

  start() {
    readySound();
    this.kept.write({ startedAt: Date.now(), endedAt: null, laps: [], rests: [], called: 0 });
    this.draw();
    this.panel.say("Walking. The clock runs on during a rest.");
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
    this.panel.say(open ? "Walking again." : "Resting. The clock runs on.");
    this.draw();
  }

  /** Counts into the form, and the raw result in words: it needs no network. */
  count() {
    const { laps, rests } = this.state;
    const lapM = numberIn(this.state.lapM ?? valueOf(this.config.fills.lap_m));
    const beyond = numberIn(this.state.beyondM ?? valueOf(this.config.fills.remainder_m)) || 0;
    const metres = laps.length * lapM + (this.state.endedAt ? beyond : 0);
    const lapsText = `${laps.length} ${laps.length === 1 ? "lap" : "laps"}`;
    this.tally.textContent = Number.isNaN(metres) ? lapsText : `${lapsText}, ${Math.round(metres * 100) / 100} m`;
    this.undoButton?.toggleAttribute("disabled", laps.length === 0);
    if (!this.started) { return; }
    fill(this.config.fills.laps, laps.length);
    fill(this.config.fills.rests, rests.length);
    if (this.state.endedAt && !Number.isNaN(metres) && !this.config.fills.laps) { fill(this.config.fills.distance_m, Math.round(metres * 100) / 100); }
  }

  listRests() {
    const from = (moment) => minutes(moment - this.state.startedAt);
    this.rests.replaceChildren(...this.state.rests.map((rest, index) => el("li", {}, `Rest ${index + 1}: from ${from(rest.from)} ${rest.to ? `to ${from(rest.to)}` : "on"}`)));
  }

  draw() {
    const { panel } = this;
    this.listRests();
    if (!this.started) {
      panel.showTime(left(this.whole));
      panel.say("Ready.", { aloud: false });
      panel.body.replaceChildren(this.lap);
      panel.offer(button("Start the six minutes", () => this.start(), "big"));
    } else if (this.running) {
      panel.showTime(left(this.whole - this.elapsed()));
      panel.body.replaceChildren(this.tally, this.rests);
      const resting = this.state.rests.at(-1) && !this.state.rests.at(-1).to;
      this.undoButton = button("Undo the last lap", () => this.undo(), "quiet");
      panel.offer(button("Lap", () => this.lapDone(), "big"), this.undoButton,
        button(resting ? "Walks again" : "Rests", () => this.rest(), "quiet"), button("Stop early", () => this.askReason(), "quiet"));
    } else {
      if (!this.state.endedAt) { this.end(this.state.startedAt + this.whole, ""); return; }
      const early = this.elapsed() < this.whole;
      panel.showTime(minutes(this.elapsed()));
      panel.say(early ? `Stopped at ${minutes(this.elapsed())}.` : `${this.config.calls.at(-1)} Mark the spot and measure what lies beyond the last full lap.`);
      panel.body.replaceChildren(this.tally, this.lap, this.beyond, this.rests);
      this.undoButton = button("One lap less", () => this.undo(), "quiet");
      panel.offer(button("One lap more", () => this.lapDone(), "quiet"), this.undoButton, button("Clear the clock", () => this.clear(), "quiet"));
      this.config.marks.forEach(([name, value]) => fill(name, value));
      fill(this.config.fills.stopped_for, this.state.reason || (early ? "" : "completed"));
    }
    this.count();
  }

  askReason() {
    const early = this.config.reasons.filter(([code]) => code !== "completed" && code !== "off_pace");
    this.panel.say("Why does the walk stop? The clock runs until you choose.");
    this.panel.offer(...early.map(([code, label]) => button(label, () => this.end(Date.now(), code), "quiet")),
      button("Go on walking", () => this.draw(), "big"));
  }

  clear() {
    this.kept.clear();
    ["laps", "rests", "remainder_m", "stopped_for"].forEach((role) => fill(this.config.fills[role], ""));
    this.beyond.querySelector("input").value = "";
    this.draw();
  }
}
