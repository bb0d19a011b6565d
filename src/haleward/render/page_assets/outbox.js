// Sends what the log holds, again and again until the server has each entry. An entry keeps its id, so it counts once.

export const LOG_FORMAT = "haleward-log/1";

const bare = ({ sent, scope, ...entry }) => entry;

/**
 * The outbox of one page. `scope` is the person: on a shared device nobody sends or saves another's entries.
 * `changed(unsentCount)` is called whenever the number of unsent entries may have changed.
 */
export function makeOutbox({ store, scope, postUrl, token, changed }) {
  let sending = false;
  let again = false;

  const own = async () => (await store.all()).filter((entry) => entry.scope === scope);
  const unsent = async () => (await own()).filter((entry) => !entry.sent);

  const post = async (entries) => {
    const response = await fetch(postUrl, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Haleward-Link": token },
      body: JSON.stringify({ format: LOG_FORMAT, sent_at: new Date().toISOString(), entries: entries.map(bare) }),
      credentials: "same-origin",
    });
    if (!response.ok) return [];
    return (await response.json()).stored ?? [];
  };

  const flush = async () => {
    if (!postUrl) return;
    if (sending) {
      again = true;
      return;
    }
    sending = true;
    try {
      const entries = await unsent();
      const stored = entries.length ? new Set(await post(entries)) : new Set();
      for (const entry of entries.filter((one) => stored.has(one.entry_id))) await store.put({ ...entry, sent: true });
    } catch (error) {
      if (!(error instanceof TypeError) && !(error instanceof SyntaxError)) throw error;
    } finally {
      sending = false;
      changed((await unsent()).length);
    }
    if (again) {
      again = false;
      await flush();
    }
  };

  return {
    flush,
    count: async () => changed((await unsent()).length),
    add: async (entry) => {
      await store.put({ ...entry, scope, sent: false });
      changed((await unsent()).length);
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
