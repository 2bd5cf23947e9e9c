// Keeps the page on the device, so that it opens again without a connection: what was seen last, with what was
// ticked meanwhile laid over it by the page's own script. Browsers run this only for a page that they trust.
//
// A page asks the network first and is shown as kept where that says nothing in time. Files and photos never
// change under their address: they come from the device. What the page's script asks for itself is never
// answered from here, since that is how it knows whether there is a connection; a copy is kept of it.
"use strict";

const KEPT = "kept";
const WAIT = 1200; // milliseconds for the network: a reload shows something within two seconds
const PAGES_AT_MOST = 150; // the oldest go first
const LASTING = /^\/(static|photo)\//;
const NEVER = /^\/(events|pair\/|static\/worker\.js)/;

const GONE = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>Not kept on this device</title></head><body><h1>No connection, and this page was not opened on this device before</h1>
<p>What you ticked is kept. <a href="/">Back to the work</a></p></body></html>`;

const plain = (url) => { const at = new URL(url); at.hash = ""; return at.href; };

const keep = async (url, answer) => {
  const type = answer.headers.get("Content-Type") || "";
  if (answer.status === 401) { await caches.delete(KEPT); return; } // sent away: nothing of the job stays here
  if (!answer.ok || answer.redirected || type.startsWith("text/event-stream")) return;
  const store = await caches.open(KEPT);
  await store.put(url, answer); // in the place of what was kept, and the youngest from now on
  const all = await store.keys();
  for (const old of all.slice(0, Math.max(0, all.length - PAGES_AT_MOST))) await store.delete(old);
};

const ask = async (event) => {
  const answer = await fetch(event.request);
  event.waitUntil(keep(plain(event.request.url), answer.clone()));
  return answer;
};

const kept = async (url) => (await caches.open(KEPT)).match(url);

const lasting = async (event) => (await kept(plain(event.request.url))) || ask(event);

const page = async (event) => {
  const asked = ask(event);
  asked.catch(() => {});
  const late = new Promise((done) => { setTimeout(done, WAIT); });
  const first = await Promise.race([asked.catch(() => undefined), late]);
  if (first) return first;
  const found = await kept(plain(event.request.url));
  if (found) return found;
  try { return await asked; } catch { return new Response(GONE, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } }); }
};

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// The page that called for this was loaded before there was anybody to keep it: it says what it is made of.
self.addEventListener("message", (event) => {
  const all = event.data.keep.map(async (url) => { if (!await kept(plain(url))) await keep(plain(url), await fetch(url)); });
  event.waitUntil(Promise.allSettled([...all, self.clients.claim()])); // one that began to load before the activation too
});

self.addEventListener("fetch", (event) => {
  const at = new URL(event.request.url);
  if (event.request.method !== "GET" || at.origin !== self.location.origin || NEVER.test(at.pathname)) return;
  if (LASTING.test(at.pathname)) event.respondWith(lasting(event));
  else if (event.request.mode === "navigate") event.respondWith(page(event));
  else if (event.request.headers.has("X-Part")) event.respondWith(ask(event));
});
