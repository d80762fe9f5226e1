"use strict";
// Keeps the deck page for a pool without a network: everything once, then from the store.
const STORE = "aquatempo-{{version}}";
const FILES = {{files}}.filter((file) => file !== "sw.js");

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(STORE).then((store) => store.addAll(FILES)).then(() => self.skipWaiting()));
});

// A newer page replaces the one before it.
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(
    names.filter((name) => name.startsWith("aquatempo-") && name !== STORE).map((name) => caches.delete(name))
  )).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  event.respondWith(caches.open(STORE).then(async (store) => {
    const kept = await store.match(event.request, { ignoreSearch: true });
    return kept || fetch(event.request);
  }));
});
