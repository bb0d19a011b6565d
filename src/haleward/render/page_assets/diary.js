// Starts the person's log: opens the outbox that all pages share, finds what was told before, ties the screens together.
import { makeWords, newIdentifier } from "./context.js";
import { addScreen, homeScreen } from "./diary_home.js";
import { reportOf } from "./diary_report.js";
import { soreScreen, soreAdviceScreen } from "./diary_sore.js";
import { hardScreen, rateScreen } from "./diary_more.js";
import { partScreen, savedScreen } from "./diary_tell.js";
import { makeHelping } from "./diary_helping.js";
import { findTold, sessionOf } from "./diary_told.js";
import { diaryAdviceScreen, diaryUnwellScreen } from "./diary_unwell.js";
import { makeOutbox } from "./outbox.js";
import { openStore, whenOpen } from "./store.js";
import { daysLater, localDay, todayFrom } from "./today.js";
import { makeNotSent, showUnsent } from "./unsent.js";

const DAY_MS = 24 * 60 * 60 * 1000;

const SCREENS = {
  home: homeScreen,
  add: addScreen,
  saved: savedScreen,
  part: partScreen,
  hard: hardScreen,
  rate: rateScreen,
  sore: soreScreen,
  sore_advice: soreAdviceScreen,
  unwell: diaryUnwellScreen,
  advice: diaryAdviceScreen,
};

/**
 * An entry about a session of one day. What is told of an earlier day carries noon of it: the hour is not known. All
 * times are by the clock of this device, right or wrong; the server knows by how much it is off.
 */
const entryOf = (context, session, kind, values) => {
  const ago = (Date.parse(context.today()) - Date.parse(session.on)) / DAY_MS;
  const at = ago > 0 ? new Date(`${daysLater(localDay(new Date()), -ago)}T12:00:00`) : new Date();
  const about = { session_id: session.session_id, sheet_id: "diary", plan_version: context.sheet.plan_version };
  const data = { ...about, part_key: session.part_key, back_dated: ago > 0, ...values, helping: context.helps() || undefined };
  return { entry_id: newIdentifier(), kind, at: at.toISOString(), data };
};

const makeDiary = (data, { outbox, words }) => {
  const context = {
    data,
    words,
    told: new Map(),
    notSent: makeNotSent(data),
    sheet: data.sheet,
    helps: () => false,
    shown: (text) => text, // the texts of this page are in its language already
    today: () => todayFrom(data.today),
    log: (session, kind, values) => outbox.add(entryOf(context, session, kind, values)),
    /** Say how a session went, or correct it: the newest report counts. */
    tell: (session, outcome, more = {}) => {
      const late = session.on !== context.today();
      const before = context.told.get(session.session_id)?.report ?? {};
      const kept = before.outcome === outcome ? before : {};
      const report = { ...reportOf(context, session, outcome), ...kept, ...more, outcome, on: session.on, back_dated: late };
      report.entered_at = new Date().toISOString();
      context.told.set(session.session_id, { outcome, origin: context.helps() ? "carer" : data.origin, late, report });
      return context.log(session, "report", report);
    },
    open: (name, values = {}) => SCREENS[name](context, values),
  };
  return context;
};

/** What a button on the person's first page asked for: "#as_planned/2026-03-02/one". Told once, even after a reload. */
const fromAddress = (context) => {
  const [action, on, partKey] = location.hash.slice(1).split("/");
  history.replaceState(null, "", location.pathname);
  if (action === "unwell" || action === "sore") return context.open(action);
  const session = sessionOf(context, on, partKey);
  if (!session) return context.open("home");
  if (action === "part") return context.open("part", { session });
  if (action !== "as_planned" && action !== "not_done") return context.open("home");
  if (context.told.get(session.session_id)?.outcome !== action) context.tell(session, action);
  return context.open("saved", { session, outcome: action });
};

const start = async () => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const words = makeWords(data.words);
  const opening = openStore();
  const changed = showUnsent(words, data.post_url);
  const outbox = makeOutbox({ store: whenOpen(opening), scope: data.person_id, postUrl: data.post_url, token: data.token, changed });
  const context = makeDiary(data, { outbox, words });
  for (const id of ["unwell", "safety-link"]) {
    document.getElementById(id).addEventListener("click", () => context.open("unwell"));
  }
  context.helps = makeHelping(data, words);
  document.getElementById("not-kept").hidden = (await opening).kept;
  context.told = findTold(data, await outbox.own());
  if (!document.querySelector("#screen h1")) fromAddress(context); // whoever pressed "I feel unwell" stays there
  addEventListener("hashchange", () => location.hash && fromAddress(context));
  outbox.watch();
  await outbox.flush();
};

start();
