/** The service worker by which the page starts without a network, and a new version of it. */

const ASK_EVERY = 30 * 60_000;

/** @param {{onready: (start: () => void) => void, onversion: (version: string) => void}} told */
export async function install(told) {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.addEventListener("message", ({ data }) => { if (data.version) told.onversion(data.version); });
  const registration = await navigator.serviceWorker.register("worker.js", { scope: "./" });
  let isWanted = false;
  navigator.serviceWorker.addEventListener("controllerchange", () => { if (isWanted) location.reload(); });
  const offer = (worker) => told.onready(() => {
    isWanted = true;
    worker.postMessage("start");
  });
  if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const fresh = registration.installing;
    fresh.addEventListener("statechange", () => {
      if (fresh.state === "installed" && navigator.serviceWorker.controller) offer(fresh);
    });
  });
  navigator.serviceWorker.controller?.postMessage("version");
  setInterval(() => registration.update().catch(() => {}), ASK_EVERY);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) registration.update().catch(() => {}); });
}
