// Keeps the screen on while a session plays, where the device allows it.

/** Ask for the screen to stay on; asks again when the page comes back. */
export function keepAwake() {
  if (!navigator.wakeLock) return;
  const ask = async () => {
    if (document.hidden) return;
    try {
      await navigator.wakeLock.request("screen");
    } catch (error) {
      if (!(error instanceof DOMException)) throw error; // refused, for example at low battery: play on without
    }
  };
  document.addEventListener("visibilitychange", ask);
  ask();
}
