// For hands that are full or covered in grease, each off until this device's person turns it on: one large button,
// or a key that a foot switch presses, ticks the next step; each new station is said aloud; the screen stays on.
"use strict";

(() => {
  if (!document.querySelector("[data-hands]")) return;
  const KEPT = "sequencer-hands";
  const PAUSE = 1000; // milliseconds in which a second press is the same elbow
  const STEP = ".station:not([hidden]) li[data-op]:not(.is-done)";

  let chosen = {};
  try { chosen = JSON.parse(localStorage.getItem(KEPT)) || {}; } catch { /* as it comes */ }
  const choose = (name, value) => {
    chosen[name] = value;
    try { localStorage.setItem(KEPT, JSON.stringify(chosen)); } catch { /* for as long as the page is open */ }
    show();
  };

  // ---- The next step: its own box is pressed, so that everything that holds for a thumb holds here.
  const next = () => document.querySelector(`${STEP} .tick`);
  let pressed = 0;
  const press = () => {
    if (Date.now() - pressed < PAUSE) return;
    pressed = Date.now();
    next()?.click();
  };
  const large = document.createElement("button");
  large.type = "button";
  large.className = "main large-done";
  large.addEventListener("click", press);

  let learning = false; // the next key is the switch's
  document.addEventListener("keydown", (event) => {
    if (learning) {
      learning = false;
      event.preventDefault();
      choose("key", event.key === "Escape" ? "" : event.key);
    } else if (chosen.key && event.key === chosen.key && !event.target.matches("input, textarea, select")) {
      event.preventDefault();
      if (!event.repeat) press();
    }
  });

  // ---- Saying the station, by the browser's own voice.
  let said = null;
  const speak = () => {
    const station = document.querySelector(".station[data-station]:not([hidden])");
    const words = station ? [...station.querySelectorAll("header h2, header .hold")].map((one) => one.textContent.trim()).join(". ") : "";
    const known = said === null || words === said; // stations that follow each other differ in place or tool
    said = words;
    if (known || !chosen.say || !station) return;
    const count = station.querySelectorAll("li[data-op]:not(.is-done)").length;
    speechSynthesis.cancel();
    speechSynthesis.speak(new SpeechSynthesisUtterance(`${words}. ${count} ${count === 1 ? "step" : "steps"}.`));
  };

  // ---- Keeping the screen on, where the browser lets a page.
  let lock = null;
  const awake = async () => {
    if (!chosen.awake || document.visibilityState !== "visible") { await lock?.release(); lock = null; return; }
    if (!lock || lock.released) lock = await navigator.wakeLock.request("screen").catch(() => null);
  };
  document.addEventListener("visibilitychange", awake);

  const able = { large: true, say: "speechSynthesis" in window, awake: "wakeLock" in navigator };

  const show = () => {
    for (const box of document.querySelectorAll("[data-hands]")) {
      box.checked = Boolean(chosen[box.dataset.hands]);
      box.closest("label").hidden = !able[box.dataset.hands];
    }
    const key = document.getElementById("hands-key");
    if (key) key.textContent = learning ? "press it now" : ({ "": "none", " ": "space" }[chosen.key || ""] || chosen.key);
    const box = next();
    const words = box?.dataset.words ? `Done: ${box.dataset.words}` : box?.getAttribute("aria-label") || "";
    if (large.textContent !== words) large.textContent = words;
    const on = Boolean(chosen.large && box);
    document.body.classList.toggle("has-large", on);
    if (on !== large.isConnected) { if (on) document.body.append(large); else large.remove(); }
  };

  document.addEventListener("change", (event) => {
    const name = event.target.dataset?.hands;
    if (!name) return;
    choose(name, event.target.checked);
    if (name === "awake") awake();
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest("[data-hands-key]")) { learning = true; event.target.blur(); show(); }
  });

  const watch = new MutationObserver(() => look());
  const look = () => { show(); speak(); watch.takeRecords(); }; // what it changed itself is no news
  watch.observe(document.getElementById("main"), { subtree: true, childList: true, attributes: true, attributeFilter: ["class", "hidden", "disabled"] });
  look();
  awake();
})();
