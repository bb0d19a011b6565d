// The person's first page: keeps its pages on this device for times without a network, and ends a stop that staff ended.
const script = document.querySelector("script[data-worker]");

/** Resolves when the worker answers for this page; what is fetched before that passes it by and is not kept. */
const inCharge = () =>
  new Promise((resolve) => {
    if (navigator.serviceWorker.controller) { resolve(); return; }
    navigator.serviceWorker.addEventListener("controllerchange", resolve, { once: true });
  });

async function keepPages() {
  if (!("serviceWorker" in navigator)) { return; }
  await navigator.serviceWorker.register(script.dataset.worker);
  await inCharge();
  const kept = [...document.querySelectorAll("a[data-keep], link[rel=stylesheet], script[src]")];
  const templates = [...document.querySelectorAll("template")].flatMap((one) => [...one.content.querySelectorAll("a[data-keep]")]);
  const pages = new Set([...kept, ...templates].map((one) => (one.href ?? one.src).split("#")[0]));
  [location.href, ...pages].forEach((page) => fetch(page).catch(() => {}));
}

/** A session that was stopped before staff closed the concern does not stay stopped on this phone. */
function forgetStops(before) {
  for (const key of Object.keys(localStorage).filter((one) => one.startsWith("haleward-place-"))) {
    const place = JSON.parse(localStorage.getItem(key));
    const stopped = place.stop || place.stopped || place.screen === "advice";
    if (stopped && place.saved_at < before) { localStorage.removeItem(key); }
  }
}

if (script?.dataset.reopened) { forgetStops(Date.parse(script.dataset.reopened)); }
if (script) { keepPages().catch(() => {}); }
