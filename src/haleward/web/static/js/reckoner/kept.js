// What a clock and its form know, kept in this tab until it is closed, cleared or signed out. It holds no names.
const PREFIX = "haleward-reckoner-";
const HOURS_KEPT = 12;

/** A small record under one key; it survives a reload and a locked screen. */
export class Kept {
  constructor(key) { this.key = PREFIX + key; }

  read() {
    const text = sessionStorage.getItem(this.key);
    const found = text === null ? {} : JSON.parse(text);
    return Date.now() - (found.keptAt ?? 0) > HOURS_KEPT * 3600_000 ? {} : found;
  }

  /** Merge `changes` into what is kept; returns the whole. */
  write(changes) {
    const all = { ...this.read(), ...changes, keptAt: Date.now() };
    sessionStorage.setItem(this.key, JSON.stringify(all));
    return all;
  }

  clear() { sessionStorage.removeItem(this.key); }
}

/** Forget everything of the Reckoner in this tab. */
export function forgetAll() {
  for (const key of Object.keys(sessionStorage).filter((one) => one.startsWith(PREFIX))) { sessionStorage.removeItem(key); }
}
