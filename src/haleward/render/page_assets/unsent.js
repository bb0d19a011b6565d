// The line that says how many notes are still on this device. No line where nothing is sent anywhere.

/** A function that shows the number of unsent notes in the foot of the page. */
export const showUnsent = (words, postUrl) => (count) => {
  const line = count === 1 ? words("unsent_note_one") : words("unsent_notes", { unsent_count: count });
  const text = count ? `${line} ${words("unsent_keep")}` : words("sent_all");
  document.getElementById("unsent").textContent = postUrl ? text : "";
  document.getElementById("not-sent")?.toggleAttribute("hidden", Boolean(postUrl) && count === 0);
};
