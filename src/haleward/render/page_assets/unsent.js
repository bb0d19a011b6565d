// The lines that say how many notes are still on this device. No line where nothing is sent anywhere.
import { el } from "./dom.js";

/** A function that shows in the foot of the page how many notes are unsent, and whether some cannot be kept or taken. */
export const showUnsent = (words, postUrl) => (count, { refused = 0, lost = false } = {}) => {
  const line = count === 1 ? words("unsent_note_one") : words("unsent_notes", { unsent_count: count });
  const waiting = count ? [line, words("unsent_keep")] : refused ? [] : [words("sent_all")];
  const texts = refused ? [...waiting, words("unsent_refused")] : waiting;
  document.getElementById("unsent").textContent = postUrl ? texts.join(" ") : "";
  if (lost) document.getElementById("not-kept")?.removeAttribute("hidden");
  const allSent = Boolean(postUrl) && count + refused === 0;
  for (const one of document.querySelectorAll("[data-once]")) one.hidden = (one.dataset.once === "sent") !== allSent;
};

/** What to do while a symptom has not reached anyone; the line goes when it has. */
export const makeNotSent = (data) => () => {
  const lines = data.topics["message not sent"] ?? [];
  const texts = lines.map(([, text]) => el("li", { class: "urgent" }, text));
  return el("ul", { class: "safety", id: "not-sent", "data-once": "unsent", hidden: Boolean(data.post_url) }, texts);
};
