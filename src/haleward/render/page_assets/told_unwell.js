// A symptom that was told on this device, in another session or in the log: no session starts while it stands.
import { localDay } from "./today.js";

const HELD_DAYS = 7; // what could not be sent for longer has been seen to, or is asked about by the check of the day
const DAY_MS = 24 * 60 * 60 * 1000;
const UNNAMED = "after you stopped"; // "I feel unwell" was pressed and nothing chosen

/** Today's, and what has not reached the team yet. A page that sends nothing knows of today only. */
const stands = (entry, postUrl) => {
  const told = new Date(entry.at);
  const waits = postUrl && !entry.sent && Date.now() - told < HELD_DAYS * DAY_MS;
  return waits || localDay(told) === localDay(new Date());
};

/** The topic of the newest symptom that stands, "" for none. `own`: the session at hand, whose screens tell it. */
export function unwellTold(entries, { own, postUrl }) {
  const told = entries.filter((one) => one.kind === "unwell" && one.data.session_id !== own && stands(one, postUrl));
  const sessions = new Map();
  for (const { data } of told.sort((one, other) => Number(one.at > other.at) - Number(one.at < other.at))) {
    const before = sessions.get(data.session_id) ?? "";
    const unnamed = data.withdrawn ? "" : UNNAMED;
    sessions.set(data.session_id, data.topic || (before && before !== UNNAMED ? before : unnamed));
  }
  return [...sessions.values()].filter(Boolean).at(-1) ?? "";
}
