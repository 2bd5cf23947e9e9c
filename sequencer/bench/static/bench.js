// The page works without this script, by forms. With it: ticks are queued on the device while the connection
// is away and sent once and in order when it is back, and what is refused stays until its person says what is to
// become of it; other devices' work appears by itself; a reading is typed on a keypad.
"use strict";

(() => {
  const job = document.body.dataset.job || "";
  const KEY = `sequencer-queue-${job}`;
  document.documentElement.classList.remove("no-script");

  const STILL = 700; // milliseconds after a touch in which the page is not redrawn
  const TWICE = 350; // milliseconds within which a second tap is the same one
  const TRIES = 5; // how often an entry is sent that met another device's at the same moment
  const AGAIN = 100; // milliseconds before the second of these; twice as many before each further one

  // ---- The queue: kept in the device's storage, so that a reload or an empty battery loses nothing.
  let unsaved = null; // a device that may not store keeps the queue as long as the page is open
  const queue = {
    read() {
      if (unsaved) return unsaved;
      try { return JSON.parse(localStorage.getItem(KEY)) || []; } catch { return []; }
    },
    write(entries) {
      try { localStorage.setItem(KEY, JSON.stringify(entries)); unsaved = null; } catch { unsaved = entries; }
    },
    waiting() { return queue.read().filter((one) => !one.refused); },
    refused() { return queue.read().filter((one) => one.refused); },
    change(id, fields) { queue.write(queue.read().map((one) => (one.id === id ? { ...one, ...fields } : one))); },
    drop(id) {
      if (queue.read().some((one) => one.id === id && one.photo)) kept.drop(id);
      queue.write(queue.read().filter((one) => one.id !== id));
    },
  };

  const stored = (key) => { try { return Number(localStorage.getItem(key)) || 0; } catch { return 0; } };

  const newId = () => {
    // crypto.randomUUID is missing on plain http; the random numbers are not (RFC 9562, version 4).
    const b = crypto.getRandomValues(new Uint8Array(16));
    b[6] = (b[6] & 0x0f) | 0x40;
    b[8] = (b[8] & 0x3f) | 0x80;
    const hex = [...b].map((one) => one.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };

  let online = true;
  // A phone's clock may be a day off: the journal's times are the server's. A page that the device kept has an old
  // one in it, so that what counts then is what was told last.
  const SKEW = `sequencer-skew-${job}`;
  const fresh = !navigator.serviceWorker?.controller;
  let skew = fresh ? Number(document.body.dataset.now || Date.now()) - Date.now() : stored(SKEW);
  const tell = (now) => { skew = Number(now) - Date.now(); try { localStorage.setItem(SKEW, skew); } catch { /* this page knows it */ } };
  if (fresh && document.body.dataset.now) tell(document.body.dataset.now);
  let sending = false;

  const say = () => {
    const line = document.getElementById("link-state");
    if (!line) return;
    const waiting = queue.waiting().length;
    let text = "";
    if (!online) {
      text = waiting
        ? `No connection: ${waiting} ${waiting === 1 ? "entry waits" : "entries wait"} on this device and will be sent.`
        : "No connection. Go on: what you tick is kept on this device.";
      if (!navigator.serviceWorker?.controller) text += " Don't load the page again: this device can't without a connection.";
    } else if (waiting) text = `Sending ${waiting} …`;
    if (line.textContent !== text) line.textContent = text;
  };

  const complain = (text) => {
    const box = document.getElementById("complaint");
    if (!box) return;
    box.textContent = text;
    box.hidden = !text;
    if (text) box.scrollIntoView({ block: "center" });
  };

  const post = async (entry) => {
    const body = entry.photo ? new FormData() : new URLSearchParams();
    for (const [name, value] of entry.fields) body.append(name, value);
    body.set("csrf", document.body.dataset.csrf);
    if (entry.photo) {
      const photo = await kept.take(entry.id).catch(() => undefined);
      if (!photo) return Response.json({ problem: "The photo is no longer on this device." }, { status: 410 });
      body.append("photo", photo);
    }
    const answer = await fetch(entry.url, {
      method: "POST", body, headers: { Accept: "application/json" }, redirect: "manual",
      // Out of reach is often silence; each entry has an id, so trying again is safe.
      signal: AbortSignal.timeout(entry.photo ? 60000 : 8000),
    });
    if (answer.status >= 500) throw new Error("the server is in trouble");
    return answer;
  };

  const pause = (wait) => new Promise((done) => setTimeout(done, wait));

  const flush = async () => {
    if (sending) return;
    sending = true;
    let arrived = false;
    try {
      for (let [entry] = queue.waiting(); entry; [entry] = queue.waiting()) {
        if (queue.refused().some((one) => one.id === entry.after)) {
          refuse(entry, "The entry that this takes back was never taken.");
          continue;
        }
        let answer;
        try { answer = await post(entry); } catch { online = false; break; }
        online = true;
        // Not the entry's fault: it is kept until the device is paired again, or its page is loaded again.
        if (answer.status === 401) { complain("This device is no longer paired. What you ticked is kept here until it is."); break; }
        if (answer.status === 403 || answer.status === 421) { complain("This page is out of date. What you ticked is kept here: load the page again."); break; }
        if (answer.ok || answer.type === "opaqueredirect") {
          queue.drop(entry.id);
          arrived = arrived || entry.photo;
          continue;
        }
        const said = await answer.json().catch(() => ({}));
        const tries = (entry.tries || 0) + 1;
        if (said.again && tries < TRIES) {
          queue.change(entry.id, { tries }); // two devices wrote at once: the next try meets what the other did
          await pause(AGAIN * 2 ** tries * (0.5 + Math.random()));
        } else refuse(entry, said.problem || "That was refused.");
      }
    } finally { sending = false; }
    say();
    if (!online || queue.waiting().length) return;
    if (arrived && !document.querySelector("main[data-live]") && !typing()) location.reload(); // with the photo on it
    else await refresh();
  };

  // ---- What was refused: nothing of it goes away until its person says so.
  const refuse = (entry, why) => {
    queue.change(entry.id, { refused: why, tries: 0 });
    showUnticked(opsOf(entry));
    showRefused();
    document.getElementById("kept")?.scrollIntoView({ block: "center" });
  };

  const opsOf = (entry) => (entry.url === "/tick" ? entry.fields.filter(([name]) => name === "op").map(([, op]) => op) : []);

  const showRefused = () => {
    const box = document.getElementById("kept");
    if (!box) return;
    const refused = queue.refused();
    box.hidden = !refused.length;
    box.querySelector("ul").replaceChildren(...refused.map((entry) => {
      const item = document.createElement("li");
      const line = (text, kind) => { const p = document.createElement("p"); p.textContent = text; p.className = kind; item.append(p); };
      line(entry.what || "An entry", "what");
      line(entry.refused, "");
      const row = document.createElement("div");
      row.className = "row";
      for (const [word, act] of [["Try again", () => { queue.change(entry.id, { refused: "" }); showTicked(opsOf(entry)); flush(); }], ["Discard", () => queue.drop(entry.id)]]) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = word;
        button.setAttribute("aria-label", `${word}: ${entry.what || "entry"}`);
        button.addEventListener("click", () => { act(); showRefused(); say(); });
        row.append(button);
      }
      item.append(row);
      return item;
    }));
  };

  // ---- What the device shows before the server has answered.
  const showTicked = (ops) => {
    for (const item of document.querySelectorAll(".steps > li[data-op]")) {
      if (ops.includes(item.dataset.op)) {
        item.classList.add("is-done", "waiting");
        const button = item.querySelector(".tick");
        if (button) { button.disabled = true; button.setAttribute("aria-label", `${button.dataset.words}: ticked, not sent yet`); }
      }
    }
    const undo = document.getElementById("undo");
    if (undo) undo.disabled = false;
    showStation();
  };

  const showStation = () => {
    // Without a connection the next station comes from what the page holds already.
    const stations = [...document.querySelectorAll(".station[data-station]")];
    const open = stations.find((one) => one.querySelector("li[data-op]:not(.is-done)"));
    if (!open) return;
    for (const one of stations) one.hidden = one !== open;
  };

  const showUnticked = (ops) => {
    for (const item of document.querySelectorAll(".steps > li[data-op].waiting")) {
      if (ops.includes(item.dataset.op)) {
        item.classList.remove("is-done", "waiting");
        const button = item.querySelector(".tick");
        if (button) { button.disabled = false; button.setAttribute("aria-label", `Tick: ${button.dataset.words}`); }
      }
    }
    showStation();
  };

  // An undo of a tick that has not left the device takes it out of the queue: sent after a tick that is
  // refused, it would take back an earlier one.
  const takenOut = () => {
    const entries = queue.waiting();
    const last = entries[entries.length - 1];
    if (!last || last.url !== "/tick" || (sending && entries.length === 1)) return false;
    queue.drop(last.id);
    showUnticked(opsOf(last));
    say();
    return true;
  };

  // What an entry is, in words, for when it has to be told of later.
  const whatOf = (form, button) => {
    const text = form.querySelector("textarea");
    const line = form.querySelector("[name=line]");
    if (line) return `Did: ${line.value}`;
    const said = button ? button.getAttribute("aria-label") || button.textContent : "";
    return (text ? `Note: ${text.value}` : said).trim();
  };

  let touched = 0; // when a thumb last came down: nothing moves under it for a moment
  let ticked = 0;
  document.addEventListener("pointerdown", () => { touched = Date.now(); }, true);
  const still = async () => {
    for (let wait = STILL; wait > 0; wait = touched + STILL - Date.now()) {
      if (touched + STILL <= Date.now()) return;
      await new Promise((done) => setTimeout(done, wait));
    }
  };

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.matches("form[data-queue]")) {
      if (online && navigator.onLine) return;
      event.preventDefault(); // the browser's own answer would be an error page, and what was typed or taken gone
      complain("No connection: this was not sent. It stays here: send it again when the connection is back.");
      return;
    }
    event.preventDefault();
    if (form.dataset.queue === "tick") {
      if (touched >= ticked && Date.now() - ticked < TWICE) return; // a tap that bounced: the step under it is another by now
      ticked = Date.now();
    }
    if (form.getAttribute("action") === "/undo" && takenOut()) return;
    const data = new FormData(form, event.submitter);
    data.delete("csrf");
    const id = newId();
    data.set("id", id);
    data.set("time", new Date(Date.now() + skew).toISOString());
    const url = form.getAttribute("action");
    const before = queue.waiting().at(-1);
    if (url === "/undo" && before) data.delete("event"); // it means what waits here, not what the page names
    const fields = [...data.entries()].filter(([, value]) => typeof value === "string");
    const photo = data.get("photo") instanceof File;
    if (photo) {
      try { await kept.put(id, data.get("photo")); } catch {
        if (online && navigator.onLine) form.submit();
        else complain("No connection, and this device keeps no photos: send it again when the connection is back.");
        return;
      }
      form.reset();
    }
    const after = url === "/undo" && before ? before.id : undefined;
    if (url === "/undo") for (const named of form.querySelectorAll("[name=event]")) named.value = ""; // another undo is of the act before
    queue.write([...queue.read(), { id, url, fields, after, photo, what: photo ? "Photo" : whatOf(form, event.submitter) }]);
    if (form.dataset.queue === "tick") showTicked(data.getAll("op"));
    if (form.dataset.queue === "note" || form.dataset.queue === "did") form.reset();
    say();
    flush();
  });

  // ---- Other devices: the server says when the journal has grown.
  let refreshing = false;
  const refresh = async () => {
    const main = document.querySelector("main[data-live]");
    if (!main || refreshing || queue.waiting().length || typing()) return;
    refreshing = true;
    try {
      const answer = await fetch(location.href, { headers: { "X-Part": "main" } });
      if (!answer.ok) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      await still();
      if (queue.waiting().length || typing()) return; // a tick came in between: its own answer will bring the page
      for (const id of ["main", "head", "always"]) {
        const fresh = page.getElementById(id);
        const old = document.getElementById(id);
        if (fresh && old && shown(fresh) !== shown(old)) {
          const focus = document.activeElement && document.activeElement.id;
          old.innerHTML = fresh.innerHTML;
          if (focus) document.getElementById(focus)?.focus();
        }
      }
      document.body.dataset.seq = page.body.dataset.seq;
      tell(page.body.dataset.now);
      ready();
    } catch { online = false; } finally { refreshing = false; say(); }
  };

  // Each form has a fresh id in it every time: that alone is no reason to put a new page under a thumb.
  const shown = (part) => part.innerHTML.replace(/ name="id" value="[^"]*"/g, "");

  const typing = () => {
    const at = document.activeElement;
    if (!at || !at.matches("input, textarea, select")) return false;
    return at.type !== "checkbox" && at.value !== at.defaultValue;
  };

  const listen = () => {
    if (!document.querySelector("main[data-live]")) return;
    const stream = new EventSource("/events");
    let heard = Date.now();
    // The server speaks every ten seconds: silence is a lost connection that nobody has told of.
    const watch = setInterval(() => {
      if (stream.readyState === EventSource.CLOSED) clearInterval(watch);
      else if (Date.now() - heard > 25000) { clearInterval(watch); stream.close(); online = false; say(); listen(); }
    }, 5000);
    stream.addEventListener("seq", (event) => {
      heard = Date.now();
      online = true;
      say();
      if (queue.waiting().length) flush();
      else if (event.data !== document.body.dataset.seq) refresh();
    });
    stream.addEventListener("clock", (event) => tell(event.data));
    stream.addEventListener("error", async () => {
      if (stream.readyState !== EventSource.CLOSED) { online = false; say(); return; } // it tries again by itself
      const answer = await fetch("/static/worker.js", { cache: "no-store" }).catch(() => null); // never kept by the device
      if (answer && answer.status === 401) complain("This device is no longer paired. What you tick is kept here until it is.");
      else setTimeout(listen, 3000);
    });
    addEventListener("pagehide", () => stream.close());
  };
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
  addEventListener("online", () => { online = true; say(); flush(); });
  addEventListener("offline", () => { online = false; say(); });
  setInterval(() => { if (queue.waiting().length) flush(); }, 3000);

  // ---- The keypad of a gate.
  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (!key) return;
    const field = document.getElementById(key.dataset.for);
    if (key.dataset.key === "back") field.value = field.value.slice(0, -1);
    else if (key.dataset.key !== "." || !field.value.includes(".")) field.value += key.dataset.key;
  });

  // ---- Photos go off as soon as one is chosen.
  document.addEventListener("change", (event) => {
    if (event.target.matches("input[type=file][data-send]") && event.target.files.length) event.target.form.requestSubmit();
  });

  const ready = () => {
    for (const one of document.querySelectorAll("[data-script]")) one.hidden = false;
    const waiting = queue.waiting().flatMap(opsOf);
    if (waiting.length) showTicked(waiting);
  };

  ready();
  showRefused();
  say();
  listen();
  if (queue.waiting().length) flush();
})();
