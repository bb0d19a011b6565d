// Time is counted from a stored start, never by adding up ticks: a slept or reloaded page shows the right time.
const TICK_MS = 100;

/** Milliseconds as 5:07. */
export function minutes(ms) {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

/** What is left, as 5:07, counting the second that has begun. */
export const left = (ms) => minutes(Math.ceil(Math.max(0, ms) / 1000) * 1000);

/** Milliseconds as 12.34: hundredths, cut and not rounded, as stopwatches show them. */
export const hundredths = (ms) => (Math.floor(ms / 10) / 100).toFixed(2);

/** Calls `turn` ten times a second until it returns false, and at once when the page is looked at again. */
export function whileRunning(turn) {
  const end = () => {
    clearInterval(timer);
    document.removeEventListener("visibilitychange", again);
  };
  const step = () => { if (turn() === false) { end(); } };
  const again = () => { if (!document.hidden) { step(); } };
  const timer = setInterval(step, TICK_MS);
  document.addEventListener("visibilitychange", again);
  return end;
}
