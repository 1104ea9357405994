// Keeps Keelcard on the phone. One version is a closed list of files with
// their hashes: it is stored whole or not at all, and served from the store
// from then on. A new version is stored beside the one in use and waits; it
// takes over when nobody has Keelcard open, or when the page says so. What only
// the reading of picture codes needs comes after, when nobody waits for anything.
"use strict";

const VERSION = "@VERSION@";
const FILES = new Map(@FILES@);
const LATER = new Map(@LATER@);

const PREFIX = "keelcard-app-";
const CACHE = PREFIX + VERSION;
const LATER_PREFIX = "keelcard-later-";
const LATER_CACHE = LATER_PREFIX + VERSION;
const SHARED = "keelcard-shared"; // as in boot.js
const SCOPE = new URL("./", self.location);

self.addEventListener("install", (event) => {
  event.waitUntil(storeAll());
});

async function storeAll() {
  try {
    await store(await caches.open(CACHE), [...FILES]);
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
  if (self.registration.active) {
    await storeLater(); // a phone that could read codes still can with the new version
  }
}

async function store(cache, files) {
  await Promise.all(
    files.map(async ([path, integrity]) => {
      const response = await fetch(new Request(path, { cache: "no-cache", integrity }));
      if (!response.ok || response.redirected) {
        throw new Error(`${path}: ${response.status}`);
      }
      await cache.put(path, response);
    }),
  );
}

// Tells whether all of it is kept. Without a connection it comes the next time
// that the page asks.
function storeLater() {
  storing ??= tryLater().finally(() => {
    storing = undefined;
  });
  return storing;
}

let storing; // what is under way, so that nothing half stored counts as kept

async function tryLater() {
  try {
    const cache = await caches.open(LATER_CACHE);
    const kept = await Promise.all([...LATER].map(([path]) => cache.match(path)));
    await store(cache, [...LATER].filter((_, i) => !kept[i]));
    return true;
  } catch (error) {
    console.info("What reads codes is not kept yet:", String(error));
    return false;
  }
}

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOthers());
});

async function dropOthers() {
  for (const name of await caches.keys()) {
    if ((name.startsWith(PREFIX) && name !== CACHE) || (name.startsWith(LATER_PREFIX) && name !== LATER_CACHE)) {
      await caches.delete(name);
    }
  }
}

self.addEventListener("message", (event) => {
  if (event.data?.take) {
    self.skipWaiting();
  }
  if (event.data?.later) {
    event.waitUntil(storeLater().then((kept) => event.ports[0]?.postMessage(kept)));
  }
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== SCOPE.origin || !url.pathname.startsWith(SCOPE.pathname)) {
    return;
  }
  let path = url.pathname.slice(SCOPE.pathname.length);
  if (path === "" || path === "index.html") {
    path = "./";
  }
  if (request.method === "POST" && path === "share") {
    event.respondWith(takeIn(request).then(shared, lost));
  } else if (request.method === "GET" && FILES.has(path)) {
    event.respondWith(stored(CACHE, path, request));
  } else if (request.method === "GET" && LATER.has(path)) {
    event.respondWith(stored(LATER_CACHE, path, request));
  } else if (request.mode === "navigate" && request.method === "GET") {
    event.respondWith(fetch(request).catch(() => Response.redirect(SCOPE.href)));
  }
});

async function stored(name, path, request) {
  const cache = await caches.open(name);
  return (await cache.match(path)) ?? fetch(request);
}

// What is shared to Keelcard waits in a cache until the page reads it. A text or
// an address counts where no file came with it.
async function takeIn(request) {
  const form = await request.formData();
  const files = form.getAll("file").filter((file) => file instanceof File && (file.name !== "" || file.size > 0));
  const texts = ["text", "url"].map((name) => form.get(name)).filter((text) => typeof text === "string" && text !== "");
  if (files.length === 0 && texts.length > 0) {
    files.push(new File([texts.join("\n")], ""));
  }
  const cache = await caches.open(SHARED);
  const now = Date.now();
  for (const [i, file] of files.entries()) {
    const headers = { "x-name": encodeURIComponent(file.name) };
    await cache.put(`shared/${now}-${i}`, new Response(file, { headers }));
  }
}

const shared = () => Response.redirect(new URL("#/take-in", SCOPE).href, 303);

// The browser could not hand it over, or has no room to keep it: the page says so.
function lost(error) {
  console.info("What was shared did not arrive:", String(error));
  return Response.redirect(new URL("#/take-in/lost", SCOPE).href, 303);
}
