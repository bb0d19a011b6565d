// Sends what the log holds, again and again until the server has each entry. An entry keeps its id, so it counts once.
import { awaits } from "./standing.js";

export const LOG_FORMAT = "haleward-log/1";
const PORTION = 200;

const bare = ({ sent, scope, settled, ...entry }) => entry;

/** What must not wait behind anything else: a symptom, soreness, a check that stopped the session, a worry. */
const pressing = ({ kind, data }) =>
  Number(["unwell", "sore"].includes(kind) || (kind === "check" && data.outcome !== "go_ahead") || Boolean(data.worried));

/**
 * The outbox of one page. `scope` is the person: on a shared device nobody sends or saves another's entries.
 * `changed(unsentCount, { refused, lost })` is called whenever these may have changed: `refused` entries cannot be
 * taken in by the server as they are; `lost`: the device's store failed, and the page alone keeps what is new.
 * `reopened()` is called when the team has closed what had stopped a session on this device.
 */
export function makeOutbox({ store, scope, postUrl, token, changed, reopened = () => {} }) {
  const held = new Map(); // what the store has not taken yet
  const refused = new Set(); // asked again when the page is opened anew
  let lost = false;
  let sending = false;
  let again = false;

  const orLost = async (work, otherwise) => {
    try {
      return await work();
    } catch (error) {
      if (!(error instanceof DOMException)) throw error;
      lost = true;
      return otherwise;
    }
  };
  const keep = async (entry) => {
    held.set(entry.entry_id, entry);
    if (await orLost(async () => [await store.put(entry)])) held.delete(entry.entry_id);
  };
  const own = async () => {
    const entries = [...(await orLost(() => store.all(), [])), ...held.values()];
    return [...new Map(entries.map((entry) => [entry.entry_id, entry])).values()].filter((entry) => entry.scope === scope);
  };
  const unsent = async () => (await own()).filter((entry) => !entry.sent && !refused.has(entry.entry_id));
  const tell = async () => changed((await unsent()).length, { refused: refused.size, lost });

  const post = async (entries) => {
    const response = await fetch(postUrl, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Haleward-Link": token },
      body: JSON.stringify({ format: LOG_FORMAT, sent_at: new Date().toISOString(), entries: entries.map(bare) }),
      credentials: "same-origin",
    });
    return response.ok || response.status === 422 ? { status: response.status, ...(await response.json()) } : {};
  };

  /** Mark entries that no longer stop anything. */
  const settle = async (entries) => {
    for (const entry of entries) await keep({ ...entry, settled: true });
    if (entries.length) await reopened();
  };

  /** One portion. Where the server cannot say which entry is at fault, each goes by itself. */
  const send = async (entries) => {
    const waiting = (await own()).filter(awaits); // what the server had before it answered
    const answer = await post(entries);
    await settle(waiting.filter((one) => answer.settled?.includes(one.data.session_id)));
    const stored = new Set(answer.stored);
    for (const entry of entries.filter((one) => stored.has(one.entry_id))) await keep({ ...entry, sent: true });
    for (const { entry_id: id } of answer.refused ?? []) refused.add(id);
    if (answer.status === 422 && !answer.refused && entries.length > 1) for (const one of entries) await send([one]);
  };

  const flush = async () => {
    if (!postUrl) return;
    if (sending) {
      again = true;
      return;
    }
    sending = true;
    try {
      const entries = (await unsent()).sort((one, other) => pressing(other) - pressing(one));
      for (let first = 0; first < entries.length; first += PORTION) await send(entries.slice(first, first + PORTION));
      if (!entries.length && (await own()).some(awaits)) await send([]); // only asks
    } catch (error) {
      if (!(error instanceof TypeError) && !(error instanceof SyntaxError)) throw error;
    } finally {
      sending = false;
      await tell();
    }
    if (again) {
      again = false;
      await flush();
    }
  };

  return {
    flush,
    own,
    settle,
    /** Whether the team can answer about an entry. */
    sends: (entry) => Boolean(postUrl) && !refused.has(entry.entry_id),
    add: async (entry) => {
      await keep({ ...entry, scope, sent: false });
      await tell();
      await flush();
    },
    text: async () => JSON.stringify({ format: LOG_FORMAT, entries: (await own()).map(bare) }, null, 2),
    watch: () => {
      addEventListener("online", flush);
      document.addEventListener("visibilitychange", () => document.hidden || flush());
      setInterval(flush, 60_000);
    },
  };
}
