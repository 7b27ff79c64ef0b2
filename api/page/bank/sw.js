// Keeps the page itself in the phone, so that it opens without a signal. The
// name of the store changes with every release of the page. Figures are never
// kept here: what the page shows of them it keeps itself, with their age.
const kept = "bank-VERSION";
const files = [
  "/bank", "/bank/bank.css", "/bank/bank.js", "/bank/awake.js", "/bank/clock.js", "/bank/forms.js", "/bank/queue.js", "/bank/screen.js", "/bank/state.js",
  "/bank/manifest.webmanifest", "/bank/icon.svg", "/bank/icon-180.png", "/bank/icon-192.png", "/bank/icon-512.png",
];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(kept).then((c) => c.addAll(files)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((n) => n.startsWith("bank-") && n !== kept).map((n) => caches.delete(n))))
    .then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !files.includes(url.pathname)) return;
  event.respondWith(caches.match(url.pathname, { cacheName: kept }).then((held) => held || fetch(event.request)));
});
