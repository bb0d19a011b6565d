// Keeps the person's own pages for times without a network: pages from the network first, else the kept copy.
const KEPT = "haleward-person-1";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const request = event.request;
  if (request.method !== "GET" || new URL(request.url).origin !== self.location.origin) { return; }
  event.respondWith(fromNetworkOrKept(request));
});

async function fromNetworkOrKept(request) {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) { await kept.put(request, answer.clone()); }
    if (answer.status === 410) { await caches.delete(KEPT); }
    return answer;
  } catch (offline) {
    const copy = await kept.match(request);
    if (copy) { return copy; }
    throw offline;
  }
}
