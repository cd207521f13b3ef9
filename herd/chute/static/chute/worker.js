/* Keeps the page's own files, one version whole; answers with them first, so that a bad network changes nothing. */
const CACHE = `chute-${SHELL.version}`;

self.addEventListener("install", (event) => {
  const fresh = SHELL.addresses.map((address) => new Request(address, { cache: "reload" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(fresh)));
});

self.addEventListener("activate", (event) => {
  const others = (names) => names.filter((name) => name.startsWith("chute-") && name !== CACHE);
  const forget = caches.keys().then((names) => Promise.all(others(names).map((name) => caches.delete(name))));
  event.waitUntil(forget.then(() => self.clients.claim()));
});

// A new version waits until the person at the chute starts it, or until all pages of the old one are closed.
self.addEventListener("message", (event) => {
  if (event.data === "start") self.skipWaiting();
  if (event.data === "version") event.source.postMessage({ version: SHELL.version });
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  const wanted = event.request.mode === "navigate" ? SHELL.addresses[0] : address.pathname;
  if (!SHELL.addresses.includes(wanted)) return;
  event.respondWith(caches.open(CACHE).then(async (cache) => (await cache.match(wanted)) ?? fetch(event.request)));
});
