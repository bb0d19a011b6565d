// The face every clock shares: title, large time, one sentence, buttons, a live region for screen readers, sound on or off.
import { button, el } from "./dom.js";
import { flash, setSound, soundOn } from "./signals.js";
import { wordsOf } from "./words.js";

export class Panel {
  constructor(root, config) {
    this.root = root;
    this.words = wordsOf(config);
    this.time = el("p", { class: "clock-time", "aria-hidden": "true" });
    this.line = el("p", { class: "clock-line" });
    this.live = el("p", { class: "unseen", "aria-live": "assertive" });
    this.body = el("div", { class: "clock-body" });
    this.actions = el("div", { class: "clock-actions" });
    this.sound = button("", () => { setSound(!soundOn()); this.nameSound(); }, "quiet clock-sound");
    this.nameSound();
    const head = el("div", { class: "clock-head" }, el(`h${config.level ?? 2}`, {}, config.title), this.sound);
    root.replaceChildren(head, this.time, this.line, this.live, this.body, this.actions);
    root.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.target.matches("input")) { event.preventDefault(); } });
    root.hidden = false;
  }

  /** The same on every clock of the page. */
  nameSound() {
    for (const one of [this.sound, ...document.querySelectorAll(".clock-sound")]) {
      one.textContent = this.words(soundOn() ? "sound_on" : "sound_off");
    }
  }

  /** The large time. It is not read out each second; sentences are. */
  showTime(text) { if (this.time.textContent !== text) { this.time.textContent = text; } }

  /** A sentence that is shown; `aloud` also reads it out. */
  say(text, { aloud = true } = {}) {
    this.line.textContent = text;
    if (aloud) { this.live.textContent = text; }
  }

  /** Which buttons there are. The one that had the focus, by its words, keeps it; else a big one takes it over. */
  offer(...buttons) {
    const had = this.actions.contains(document.activeElement);
    this.actions.replaceChildren(...buttons.filter(Boolean));
    if (had) { (this.actions.querySelector(".big") ?? this.actions.querySelector("button"))?.focus({ preventScroll: true }); }
  }

  flash(kind) { flash(this.root, kind); }
}
