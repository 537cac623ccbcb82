// Keeps the floor page and what it is made of, so that it opens without a network. SHELL is written above this by the
// program: what to keep, and a version made from its content.
"use strict";

const PREFIX = "floor-";
const CACHE = PREFIX + SHELL.version;

// Past the browser's own store, so that a new version is new; and never a page to sign in on in place of what was asked.
const fetchWhole = async (address) => {
  const answer = await fetch(new Request(address, { cache: "reload", credentials: "same-origin" }));
  if (!answer.ok || answer.redirected) {
    throw new Error(`${address} cannot be kept (${answer.status})`);
  }
  return answer;
};

// All or nothing: with one file missing the version that is there stays.
const keepAll = async () => {
  const answers = await Promise.all(SHELL.kept.map(fetchWhole));
  const cache = await caches.open(CACHE);
  await Promise.all(SHELL.kept.map((address, place) => cache.put(address, answers[place])));
};

const dropOthers = async () => {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
};

const answerFrom = async (address, request) => {
  const cache = await caches.open(CACHE);
  return (await cache.match(address)) ?? fetch(request);
};

self.addEventListener("install", (event) => {
  event.waitUntil(keepAll().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOthers().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method === "GET" && origin === self.location.origin && SHELL.kept.includes(pathname)) {
    event.respondWith(answerFrom(pathname, event.request));
  }
});
