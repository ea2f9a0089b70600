/* Keeps the noticeboard's page, style and script, so that it comes up after a power cut with no server.
   The server's own answer is always preferred; the answers of the API are kept by the page itself. */
"use strict";

const STORE = "commonrow-screen-1";
const PATIENCE_MS = 5000;
const SHELL = [
  "/screen/",
  "/static/society/commonrow.css",
  "/static/schedules/screen.css",
  "/static/schedules/screen.js",
  "/static/society/favicon.svg",
];

self.addEventListener("install", event => {
  self.skipWaiting();
  event.waitUntil(caches.open(STORE).then(store => store.addAll(SHELL.map(path => new Request(path, { cache: "reload" })))));
});

self.addEventListener("activate", event => {
  const others = caches.keys().then(names => names.filter(name => name.startsWith("commonrow-screen-") && name !== STORE));
  event.waitUntil(others.then(names => Promise.all(names.map(name => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", event => {
  const url = new URL(event.request.url);
  if (event.request.method === "GET" && url.origin === self.location.origin && SHELL.includes(url.pathname)) {
    event.respondWith(serverFirst(event.request, url.pathname));
  }
});

async function serverFirst(request, path) {
  const store = await caches.open(STORE);
  const kept = await store.match(path);
  const stop = new AbortController();
  const timer = kept ? setTimeout(() => stop.abort(), PATIENCE_MS) : null;
  try {
    const answer = await fetch(path, { signal: stop.signal, cache: "no-cache", credentials: "omit" });
    // A page that some router on the way puts in its place comes by a redirect or with a fault.
    if (!answer.ok || answer.redirected) return kept || answer;
    await store.put(path, answer.clone());
    return answer;
  } catch (fault) {
    if (kept) return kept;
    throw fault;
  } finally {
    clearTimeout(timer);
  }
}
