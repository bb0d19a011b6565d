// The person's first page: keeps its pages on this device for times without a network.
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

if (script) { keepPages().catch(() => {}); }
