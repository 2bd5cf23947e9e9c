// What the device keeps besides the queue: photos that are not sent yet, and the page itself.
"use strict";

const kept = (() => {
  const NAME = "sequencer-photos";

  const store = (mode) => new Promise((done, fail) => {
    const opening = indexedDB.open(NAME, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("photos");
    opening.onerror = () => fail(opening.error);
    opening.onsuccess = () => done(opening.result.transaction("photos", mode).objectStore("photos"));
  });

  const asked = async (mode, act) => {
    const photos = await store(mode);
    return new Promise((done, fail) => {
      const request = act(photos);
      request.onerror = () => fail(request.error);
      photos.transaction.oncomplete = () => { photos.transaction.db.close(); done(request.result); };
      photos.transaction.onabort = () => fail(photos.transaction.error);
    });
  };

  return {
    // As bytes: not every browser keeps a file itself.
    put: async (id, file) => {
      const bytes = await file.arrayBuffer();
      await asked("readwrite", (photos) => photos.put({ bytes, type: file.type, name: file.name }, id));
    },
    take: async (id) => {
      const one = await asked("readonly", (photos) => photos.get(id));
      return one && new File([one.bytes], one.name, { type: one.type });
    },
    drop: (id) => asked("readwrite", (photos) => photos.delete(id)).catch(() => {}),
  };
})();

(async () => {
  if (!("serviceWorker" in navigator)) return; // not a page that the browser trusts
  if (document.readyState !== "complete") await new Promise((done) => { addEventListener("load", done); }); // the work first
  await navigator.serviceWorker.register("/static/worker.js", { scope: "/" });
  const worker = (await navigator.serviceWorker.ready).active;
  const parts = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]")];
  const pages = ["/", "/overview", "/log"].map((path) => new URL(path, location.href).href);
  worker.postMessage({ keep: [...new Set([...parts.map((one) => one.href || one.src), location.href, ...pages])] });
})().catch(() => {});
