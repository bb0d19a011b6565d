// The log on this device: IndexedDB, or local storage where that is refused. Entries are only ever added.

const DATABASE = "haleward-log";
const FALLBACK = "haleward-log-entries";

const asked = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const openDatabase = () => {
  const request = indexedDB.open(DATABASE, 1);
  request.onupgradeneeded = () => request.result.createObjectStore("entries", { keyPath: "entry_id" });
  return asked(request);
};

const indexedStore = (database) => {
  const entries = (mode) => database.transaction("entries", mode).objectStore("entries");
  return {
    put: (entry) => asked(entries("readwrite").put(entry)),
    all: () => asked(entries("readonly").getAll()),
  };
};

const localStore = () => {
  const read = () => JSON.parse(localStorage.getItem(FALLBACK) ?? "{}");
  return {
    put: async (entry) => localStorage.setItem(FALLBACK, JSON.stringify({ ...read(), [entry.entry_id]: entry })),
    all: async () => Object.values(read()),
  };
};

const memoryStore = () => {
  const entries = new Map();
  return { put: async (entry) => entries.set(entry.entry_id, entry), all: async () => [...entries.values()] };
};

const openLocal = () => {
  try {
    localStorage.setItem(FALLBACK, localStorage.getItem(FALLBACK) ?? "{}");
    return { store: localStore(), kept: true };
  } catch {
    return { store: memoryStore(), kept: false };
  }
};

/** Open the best store this device allows; `kept` is false when nothing survives closing the page. */
export async function openStore() {
  try {
    return { store: indexedStore(await openDatabase()), kept: true };
  } catch {
    return openLocal();
  }
}

/** A store that is still being opened: what is asked of it waits. */
export const whenOpen = (opening) => ({
  put: async (entry) => (await opening).store.put(entry),
  all: async () => (await opening).store.all(),
});
