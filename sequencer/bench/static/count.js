// The order picture of a gate, tapped bolt by bolt: a help to keep count, off until it is wished. Nothing of it is
// sent or kept. A tap counts for the bolt that is nearest; Space or Enter for the one that has the focus.
"use strict";

(() => {
  const wish = document.getElementById("count-bolts");
  const svg = document.querySelector(".order svg");
  const bolts = svg ? [...svg.querySelectorAll("g.bolt")] : [];
  if (!wish || !bolts.length) return;
  const said = document.getElementById("counted");
  const anew = document.getElementById("count-anew");
  const rank = (bolt) => Number(bolt.dataset.rank);
  const counted = (bolt) => bolt.getAttribute("aria-checked") === "true";

  const tell = () => {
    const left = bolts.filter((one) => !counted(one)).map(rank);
    const done = bolts.length - left.length;
    said.textContent = left.length ? `${done} of ${bolts.length}, next ${Math.min(...left)}` : `all ${bolts.length}`;
  };

  const turn = (bolt) => {
    bolt.setAttribute("aria-checked", String(!counted(bolt)));
    tell();
  };

  const clear = () => {
    for (const bolt of bolts) bolt.setAttribute("aria-checked", "false");
    tell();
  };

  const nearest = (event) => {
    const away = (bolt) => {
      const at = bolt.querySelector("circle").getBoundingClientRect();
      return Math.hypot(at.x + at.width / 2 - event.clientX, at.y + at.height / 2 - event.clientY);
    };
    return bolts.reduce((one, other) => (away(other) < away(one) ? other : one));
  };

  wish.addEventListener("change", () => {
    for (const one of document.querySelectorAll(".counting")) one.hidden = !wish.checked;
    for (const bolt of bolts) {
      if (wish.checked) {
        for (const [name, value] of [["role", "checkbox"], ["tabindex", "0"], ["aria-label", `bolt ${rank(bolt)}`]]) bolt.setAttribute(name, value);
      } else {
        for (const name of ["role", "tabindex", "aria-label"]) bolt.removeAttribute(name);
      }
    }
    clear();
  });
  svg.addEventListener("click", (event) => wish.checked && turn(nearest(event)));
  svg.addEventListener("keydown", (event) => {
    const bolt = event.target.closest("g.bolt");
    if (!wish.checked || !bolt || ![" ", "Enter"].includes(event.key)) return;
    event.preventDefault();
    turn(bolt);
  });
  anew.addEventListener("click", clear);
})();
