// The person's first page: keep the session pages on this device, so that they open without a network.
const script = document.querySelector("script[data-worker]");

async function keepPages() {
  if (!("serviceWorker" in navigator)) { return; }
  await navigator.serviceWorker.register(script.dataset.worker);
  await navigator.serviceWorker.ready;
  document.querySelectorAll("a[data-keep]").forEach((link) => fetch(link.href).catch(() => {}));
}

if (script) { keepPages().catch(() => {}); }
