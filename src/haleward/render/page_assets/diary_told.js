// What is already told of each session: what the server knew when the page was made, and what this device holds.

import { localDay } from "./today.js";

/** The session of a part on a day; undefined when the page knows of none. */
export const sessionOf = (context, on, partKey) => {
  const day = context.data.days.find((one) => one.on === on);
  return day && [...day.sessions, ...day.others].map((one) => ({ ...one, on })).find((one) => one.part_key === partKey);
};

const ofPlace = (data, entry) => {
  const day = data.days.find((one) => one.on === localDay(new Date(entry.at)));
  return day && [...day.sessions, ...day.others].find((one) => one.part_key === entry.data.part_key);
};

/** By session id: outcome, who told it, whether later, and the report itself where this device has it. */
export function findTold(data, entries) {
  const told = new Map();
  for (const day of data.days) {
    for (const session of [...day.sessions, ...day.others]) if (session.state) told.set(session.session_id, session.state);
  }
  const own = entries.filter((entry) => entry.scope === data.person_id);
  for (const entry of own.filter((one) => one.kind === "done")) {
    const session = ofPlace(data, entry);
    if (session && !session.state) {
      session.session_id = entry.data.session_id; // what is told of it now belongs to the session that was played
      told.set(session.session_id, { outcome: "played", origin: data.origin, late: false });
    }
  }
  const reports = own.filter((one) => one.kind === "report");
  for (const { data: report } of reports.sort((a, b) => (a.data.entered_at < b.data.entered_at ? -1 : 1))) {
    const { outcome, back_dated: late } = report;
    told.set(report.session_id, { outcome, origin: data.origin, late, report });
  }
  return told;
}
