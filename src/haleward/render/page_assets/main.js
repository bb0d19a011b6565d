// Starts the page: opens the log, finds the place, ties the screens together.
import { carefulScreen, checkScreen } from "./checks.js";
import { makeContext, makeWords, newIdentifier } from "./context.js";
import { wholeSheet } from "./cues.js";
import { button, el, show } from "./dom.js";
import { effortScreen, gotHardScreen } from "./effort.js";
import { doneScreen, endScreen } from "./ending.js";
import { frameScreen } from "./frame.js";
import { isReopened, makeHold, reopenedScreen } from "./hold.js";
import { unpack } from "./inflate.js";
import { jumpScreen } from "./jump.js";
import { makeFlow } from "./flow.js";
import { makeOutbox } from "./outbox.js";
import { makePlace } from "./place.js";
import { playScreen } from "./play.js";
import { leaveScreen, restScreen } from "./rest.js";
import { adviceScreen, openUnwell, stoppedScreen, unwellScreen } from "./safety.js";
import { linesScreen, setupScreen } from "./setup.js";
import { makeSpriteVoice } from "./sprite.js";
import { makeSpokenVoice } from "./spoken.js";
import { openStore } from "./store.js";
import { makeNotSent, showUnsent } from "./unsent.js";
import { makeVoice } from "./voice.js";
import { wireView } from "./view.js";
import { keepAwake } from "./wake.js";

const OVER = ["done", "stopped", "advice", "unwell", "reopened"]; // screens from which a session does not go on
const LONG_AWAY_MS = 2 * 60 * 60 * 1000;

const SCREENS = {
  check: checkScreen,
  careful: carefulScreen,
  stopped: stoppedScreen,
  reopened: reopenedScreen,
  unwell: unwellScreen,
  advice: adviceScreen,
  welcome: linesScreen,
  ready: linesScreen,
  warm_up: frameScreen,
  cool_down: frameScreen,
  setup: setupScreen,
  jump: jumpScreen,
  set: playScreen,
  walk: playScreen,
  ask_effort: effortScreen,
  leave: leaveScreen,
  hard: gotHardScreen,
  rest: restScreen,
  close: endScreen,
  end: endScreen,
  done: doneScreen,
};

/** What an earlier day left behind is over: its answers were about that day, and its session is done. */
const ofToday = (place) => {
  const saved = place?.saved_at ?? 0;
  const sameDay = new Date(saved).toDateString() === new Date().toDateString();
  return sameDay || Date.now() - saved <= LONG_AWAY_MS ? place : null;
};

/** Whether the session ended, or must not go on today: it is not offered again, however long ago that was. */
const isOver = (place) => Boolean(place.stop || place.stopped || place.worried) || OVER.includes(place.screen);

const freshPlace = (screen = "check") => ({ session_id: newIdentifier(), screen, block: 0, answers: {}, clock: null });

const carryOnScreen = (context, flow, next) => {
  const { words } = context;
  const again = () => {
    context.place = freshPlace();
    flow.screen("check");
  };
  show(
    el("h1", {}, words("carry_on")),
    button(words("carry_on_button"), next, { kind: "main", "data-main": true }),
    button(words("start_again_button"), again, { kind: "quiet" }),
  );
};

const saveText = (text) => {
  const link = el("a", { href: URL.createObjectURL(new Blob([text], { type: "application/json" })), download: "log.json" });
  link.click();
  URL.revokeObjectURL(link.href);
};

const makeLogBox = (words, outbox, postUrl) => () => {
  if (postUrl) return null;
  const told = el("p", { role: "status" });
  const copy = async () => {
    await navigator.clipboard.writeText(await outbox.text());
    told.textContent = words("file_log_copied");
  };
  return el("section", { class: "log-box" }, el("p", {}, words("file_log")),
    button(words("file_log_save"), async () => saveText(await outbox.text())), button(words("file_log_copy"), copy), told);
};

const wireBars = (context, flow) => {
  const { words, voice } = context;
  const sound = document.getElementById("sound");
  const label = () => {
    sound.textContent = words(voice.on ? "sound_on" : "sound_off");
    sound.setAttribute("aria-pressed", String(voice.on));
  };
  sound.addEventListener("click", () => {
    voice.turn(!voice.on);
    rememberSound(voice.on);
    label();
  });
  label();
  for (const id of ["unwell", "safety-link"]) {
    document.getElementById(id).addEventListener("click", () => openUnwell(context, flow));
  }
};

const wireKeys = () => {
  const typing = (event) => ["INPUT", "TEXTAREA"].includes(event.target.tagName);
  const press = (event, selector) => {
    const found = document.querySelector(selector);
    const pressed = event.key === " " && event.target.closest("button, a, summary, [role=button]"); // it has its own press
    if (!found || pressed || typing(event)) return;
    event.preventDefault();
    if (event.type === "keydown" && !event.repeat) found.click();
  };
  const [onward, again] = document.documentElement.dir === "rtl" ? ["ArrowLeft", "ArrowRight"] : ["ArrowRight", "ArrowLeft"];
  const keys = { " ": "[data-pause], [data-hold]", [onward]: "[data-main]", [again]: "[data-again]" };
  for (const kind of ["keydown", "keyup"]) {
    document.addEventListener(kind, (event) => event.key in keys && press(event, keys[event.key]));
  }
};

const soundWanted = () => {
  try {
    return localStorage.getItem("haleward-sound") !== "off";
  } catch {
    return true;
  }
};

const rememberSound = (on) => {
  try {
    localStorage.setItem("haleward-sound", on ? "on" : "off");
  } catch {
    // Without storage the choice lasts until the page is closed.
  }
};

const start = async () => {
  const folded = JSON.parse(document.getElementById("data").textContent);
  const data = { ...folded, ...unpack(folded.said), sheet: wholeSheet(unpack(folded.sheet)), gate: unpack(folded.gate) };
  const words = makeWords(data.words);
  const { store, kept } = await openStore();
  const changed = showUnsent(words, data.post_url);
  const outbox = makeOutbox({ store, scope: data.sheet.person_id, postUrl: data.post_url, token: data.token, changed, reopened: () => hold.reopened() });
  const places = makePlace(data.sheet.sheet_id);
  const entries = await outbox.own();
  const left = ofToday(places.read());
  const found = left && isReopened(left, entries) ? freshPlace("reopened") : left;
  const device = makeVoice({ lang: "en-GB", on: soundWanted() });
  const own = data.recorded && globalThis.AudioContext ? makeSpriteVoice(device) : device;
  const voice = makeSpokenVoice(own, data);
  const context = makeContext(data, { outbox, places, place: found ?? freshPlace(), voice });
  context.logBox = makeLogBox(words, outbox, data.post_url);
  context.notSent = makeNotSent(data);
  const flow = makeFlow(context, SCREENS);
  const hold = makeHold(context, flow, freshPlace);
  wireBars(context, flow);
  wireView(words);
  wireKeys();
  document.getElementById("not-kept").hidden = kept;
  const away = found && Date.now() - (found.saved_at ?? 0) > LONG_AWAY_MS && !isOver(found);
  const held = !["unwell", "advice"].includes(found?.screen) && (await hold.look(found?.session_id));
  if (!held && away) carryOnScreen(context, flow, flow.open);
  else if (!held) flow.open();
  keepAwake();
  outbox.watch();
  await outbox.flush();
  if (held && context.place.screen === "stopped") await hold.look(); // what the server cannot take in, it cannot answer either
};

start();
