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
  event.waitUntil(caches.open(STORE).then(store => Promise.all(SHELL.map(path => taken(store, path, { cache: "reload" })))));
});

self.addEventListener("activate", event => {
  const others = caches.keys().then(names => names.filter(name => name.startsWith("commonrow-screen-") && name !== STORE));
  event.waitUntil(others.then(names => Promise.all(names.map(name => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", event => {
  const url = new URL(event.request.url);
  if (event.request.method === "GET" && url.origin === self.location.origin && SHELL.includes(url.pathname)) {
    event.respondWith(serverFirst(url.pathname));
  }
});

async function serverFirst(path) {
  const store = await caches.open(STORE);
  const kept = await store.match(path);
  const stop = new AbortController();
  const timer = kept ? setTimeout(() => stop.abort(), PATIENCE_MS) : null;
  try {
    return await taken(store, path, { cache: "no-cache", signal: stop.signal });
  } catch (fault) {
    return kept || Response.error();
  } finally {
    clearTimeout(timer);
  }
}

/* Only a whole answer is kept: a browser may store what a cut line left of one without a word.
   A page that some router on the way puts in its place comes by a redirect or with a fault. */
async function taken(store, path, manner) {
  const answer = await fetch(path, { credentials: "omit", ...manner });
  if (!answer.ok || answer.redirected) throw new Error(`${path}: ${answer.status}`);
  const body = await answer.arrayBuffer();
  if (!body.byteLength) throw new Error(`${path}: empty`);
  const headers = new Headers(answer.headers);
  headers.delete("Content-Encoding");
  headers.delete("Content-Length");
  const whole = new Response(body, { status: answer.status, headers });
  await store.put(path, whole.clone());
  return whole;
}
