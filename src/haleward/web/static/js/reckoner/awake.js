// Keeps the screen on while a clock runs, where the device allows it.
let lock = null;
let wanted = false;

async function ask() {
  if (!wanted || lock || document.hidden || !navigator.wakeLock) { return; }
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => { lock = null; });
  } catch (refusal) {
    if (!(refusal instanceof DOMException)) { throw refusal; } // refused, for example at low battery: time counts on
  }
}

document.addEventListener("visibilitychange", ask);

export function keepAwake() { wanted = true; ask(); }

export function letSleep() {
  wanted = false;
  lock?.release();
}
