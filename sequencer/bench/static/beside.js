// On a wide screen the diagram and the order of work stand beside the station. They are fetched when the station is
// on the screen, and again after each act; a narrow screen asks for neither.
"use strict";

(() => {
  const box = document.getElementById("beside");
  const wide = matchMedia("(min-width: 68.75rem) and (min-height: 26.01rem)"); // as in bench.css
  let shown = "";
  let asking = false;

  const script = (source) => new Promise((done, fail) => {
    if (window.diagram) { done(); return; }
    const one = document.createElement("script");
    Object.assign(one, { src: source, onload: done, onerror: fail });
    document.head.append(one);
  });

  const fill = async () => {
    const seq = document.body.dataset.seq;
    if (!wide.matches || asking || seq === shown) return;
    // Whoever looks something up in it is not torn away: what is new comes when they have left it.
    if (box.contains(document.activeElement)) { box.addEventListener("focusout", () => setTimeout(fill), { once: true }); return; }
    asking = true;
    try {
      const [answer] = await Promise.all([fetch("/beside"), script(box.dataset.diagram)]);
      if (!answer.ok) return;
      box.innerHTML = await answer.text();
      for (const one of box.querySelectorAll("[data-script]")) one.hidden = false;
      window.diagram(box);
      const [order, next] = [box.querySelector(".order-of-work"), box.querySelector(".is-next")];
      if (next) order.scrollTop = next.offsetTop - order.clientHeight / 4;
      shown = seq;
    } catch { return; /* no connection: what is there stays */ } finally { asking = false; }
    fill(); // something was done meanwhile
  };

  new MutationObserver(fill).observe(document.body, { attributeFilter: ["data-seq"] });
  wide.addEventListener("change", fill);
  fill();
})();
