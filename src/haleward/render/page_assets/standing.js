// What was told on this device and stops the plan: it stands, whatever the day, until the team has seen to it.
import { localDay } from "./today.js";

const UNNAMED = "after you stopped"; // "I feel unwell" was pressed and nothing chosen

/** Whether an entry is one that stopped a session: a symptom, or a check that did not end with "go ahead". */
export const isStop = ({ kind, data }) => kind === "unwell" || (kind === "check" && data.outcome !== "go_ahead");

/** A stop of which the server knows; the team has not closed it yet. */
export const awaits = (entry) => isStop(entry) && Boolean(entry.sent) && !entry.settled;

const topicsAfter = (before, { kind, data }) => {
  if (kind === "check") return data.topics?.length ? data.topics : [UNNAMED];
  if (data.topic) return [data.topic];
  const named = before.filter((one) => one !== UNNAMED);
  return named.length || data.withdrawn ? named : [UNNAMED];
};

/**
 * The topics of the newest stop that holds the plan; null for none. A check holds where the protocol says so (`holds`).
 * `own`: the session at hand, whose screens tell it. `sends(entry)`: whether the team can answer about it; where it
 * cannot, `ownWord` lets the person say on a later day that the team did.
 */
export function standing(entries, { own = "", sends = () => true } = {}) {
  const holds = (one) => isStop(one) && !one.settled && (one.kind === "unwell" || one.data.holds);
  const held = entries.filter((one) => holds(one) && one.data.session_id !== own);
  const sessions = new Map();
  for (const entry of held.sort((one, other) => Number(one.at > other.at) - Number(one.at < other.at))) {
    const { topics = [] } = sessions.get(entry.data.session_id) ?? {};
    sessions.set(entry.data.session_id, { topics: topicsAfter(topics, entry), entry });
  }
  const stands = [...sessions.values()].filter(({ topics }) => topics.length);
  if (!stands.length) return null;
  const earlier = ({ entry }) => localDay(new Date(entry.at)) !== localDay(new Date());
  return { topics: stands.at(-1).topics, ownWord: stands.every((one) => earlier(one) && !sends(one.entry)) };
}

/** The sessions that had a stop, with nothing of it left to see to. */
export function endedSessions(entries) {
  const stops = entries.filter(isStop);
  const open = new Set(stops.filter((one) => !one.settled).map((one) => one.data.session_id));
  return new Set(stops.map((one) => one.data.session_id).filter((id) => !open.has(id)));
}
