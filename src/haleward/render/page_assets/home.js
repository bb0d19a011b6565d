// The person's first page: shows the right day on a kept page, and sends what is still on this device.
import { makeWords } from "./context.js";
import { makeOutbox } from "./outbox.js";
import { standing } from "./standing.js";
import { openStore } from "./store.js";
import { todayFrom } from "./today.js";
import { showUnsent } from "./unsent.js";

const homeScript = document.currentScript;

/** A kept page was made on an earlier day: put the card of the present day in its place. */
const showToday = () => {
  const card = document.getElementById("today");
  if (!card) return;
  const day = todayFrom(card.dataset.day);
  const kept = document.querySelector(`template[data-day="${day}"]`);
  if (kept) card.replaceChildren(kept.content.cloneNode(true));
  for (const line of document.querySelectorAll("[data-week-day]")) {
    if (line.dataset.weekDay === day) line.setAttribute("aria-current", "date");
    else line.removeAttribute("aria-current");
  }
};

/** What this device holds is told, sent or not: the question becomes the answer. */
const showTold = (entries, words) => {
  const labels = { as_planned: words("diary_state_as_planned"), part: words("diary_state_part"), not_done: words("diary_state_not_done") };
  for (const box of document.querySelectorAll("#today [data-tell]")) {
    const [on, part] = box.dataset.tell.split("/");
    const told = entries.filter(({ kind, data }) => kind === "report" && data.on === on && data.part_key === part);
    if (!told.length) continue;
    const newest = told.sort((a, b) => (a.data.entered_at < b.data.entered_at ? 1 : -1))[0];
    const state = document.createElement("strong");
    state.textContent = labels[newest.data.outcome];
    box.replaceChildren(state);
  }
};

/** What was told on this device stops the plan on a kept page too; once the team has closed it, the page says so. */
const showHold = (entries, { ended = false } = {}) => {
  const held = Boolean(standing(entries));
  const told = document.querySelector("[data-held]"); // the server said so when it made the page
  document.getElementById("held-here").hidden = !held || Boolean(told);
  for (const one of document.querySelectorAll("[data-starts]")) one.hidden = held;
  if (!ended || held) return;
  told?.remove();
  document.getElementById("reopened").hidden = false;
};

const startHome = async () => {
  showToday();
  const { scope, post, token } = homeScript.dataset;
  const words = makeWords(JSON.parse(homeScript.dataset.words));
  const { store } = await openStore();
  const reopened = async () => showHold(await outbox.own(), { ended: true });
  const outbox = makeOutbox({ store, scope, postUrl: post, token, changed: showUnsent(words, post), reopened });
  const entries = await outbox.own();
  showTold(entries, words);
  showHold(entries);
  outbox.watch();
  await outbox.flush();
};

startHome();
