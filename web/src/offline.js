/** The service worker: keeps the whole app on the device, so that it opens with no signal. */

const FILES = __FILES__;
const CACHE = 'matbook-__VERSION__';
const OURS = [CACHE, 'python']; // the second is kept by src/python/image.ts

self.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(CACHE)
      .then((cache) => cache.addAll(['./', ...FILES]))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => names.filter((name) => !OURS.includes(name)))
      .then((old) => Promise.all(old.map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('fetch', (event) => {
  const { pathname, origin } = new URL(event.request.url);
  const ours = origin === self.location.origin && event.request.method === 'GET';
  if (!ours || pathname.startsWith('/api/')) return;
  event.respondWith(
    caches.match(event.request, { ignoreSearch: true }).then((held) => held ?? fetch(event.request)),
  );
});
