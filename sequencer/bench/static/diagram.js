// The diagram: drag, pinch, wheel, and the keys + − and arrows. It opens at what is next, at a size that can be
// read; "All" shows the whole. A tap on a box says beside the drawing why it is in the way and where it is.
"use strict";

window.diagram = (root) => {
  const LEGIBLE = 15; // pixels of a letter
  const STILL = 12; // pixels that a finger may move in a tap
  const box = root.querySelector(".diagram");
  const svg = box && box.querySelector("svg");
  if (!svg) return;
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  const { x, y, width, height } = svg.viewBox.baseVal;
  const start = [x, y, width, height];
  let view = [...start];
  const show = () => svg.setAttribute("viewBox", view.join(" "));

  // Where a box of the drawing is, in the picture's own measure.
  const middle = (one) => { const { x, y, width, height } = one.getBBox(); return { x: x + width / 2, y: y + height / 2 }; };

  // How much is in view with letters that can be read; all of it, if that fits.
  const legible = () => {
    const sizes = [...svg.querySelectorAll("text")].map((one) => parseFloat(one.getAttribute("font-size"))).sort((one, other) => one - other);
    const size = box.getBoundingClientRect();
    const scale = LEGIBLE / sizes[sizes.length >> 1]; // pixels for one of the picture; a few letters may be small
    const [wide, high] = [size.width / scale, size.height / scale];
    return sizes.length && (wide < width || high < height) ? [wide, high] : [width, height];
  };

  // Where a view begins that has ``at`` in its middle, but shows nothing beyond the drawing if it can.
  const within = (at, size, from, whole) =>
    (size >= whole ? from + (whole - size) / 2 : Math.min(Math.max(at - size / 2, from), from + whole - size));

  const now = () => {
    const [wide, high] = legible();
    const nodes = [...svg.querySelectorAll("g.node")];
    const wanted = nodes.find((one) => one.id === box.dataset.focus);
    const at = wanted ? middle(wanted) : crowd(nodes.map(middle), wide, high);
    view = [within(at.x, wide, x, width), within(at.y, high, y, height), wide, high];
    show();
  };

  // The box that has most others around it: somewhere to begin where nothing is next.
  const crowd = (points, wide, high) => {
    const near = (one) => points.filter((other) => Math.abs(other.x - one.x) < wide / 2 && Math.abs(other.y - one.y) < high / 2).length;
    return points.reduce((best, one) => (near(one) > near(best) ? one : best), { x: x + width / 2, y: y + height / 2 });
  };

  const zoom = (factor, cx = 0.5, cy = 0.5) => {
    const most = 1.5 * Math.max(start[2], start[3] * (view[2] / view[3]));
    const wide = Math.min(Math.max(view[2] * factor, start[2] / 40), most);
    const high = wide * (view[3] / view[2]);
    view = [view[0] + (view[2] - wide) * cx, view[1] + (view[3] - high) * cy, wide, high];
    show();
  };
  const pan = (dx, dy) => { view[0] += dx * view[2]; view[1] += dy * view[3]; show(); };

  now();
  const fingers = new Map();
  let moved = 0;
  box.addEventListener("pointerdown", (e) => { fingers.set(e.pointerId, e); moved = 0; });
  box.addEventListener("pointermove", (e) => {
    const before = fingers.get(e.pointerId);
    if (!before) return;
    const size = box.getBoundingClientRect();
    const others = [...fingers.values()].filter((one) => one.pointerId !== e.pointerId);
    if (others.length) {
      const away = (one) => Math.hypot(one.clientX - others[0].clientX, one.clientY - others[0].clientY);
      zoom(away(before) / Math.max(away(e), 1));
    } else {
      moved += Math.hypot(e.clientX - before.clientX, e.clientY - before.clientY);
      const scale = Math.max(view[2] / size.width, view[3] / size.height);
      pan(-(e.clientX - before.clientX) * scale / view[2], -(e.clientY - before.clientY) * scale / view[3]);
    }
    fingers.set(e.pointerId, e);
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) box.addEventListener(end, (e) => fingers.delete(e.pointerId));
  box.addEventListener("click", (e) => { if (moved > STILL) { e.preventDefault(); e.stopPropagation(); } }, true);
  box.addEventListener("wheel", (e) => {
    e.preventDefault();
    const size = box.getBoundingClientRect();
    zoom(e.deltaY > 0 ? 1.15 : 0.87, (e.clientX - size.left) / size.width, (e.clientY - size.top) / size.height);
  }, { passive: false });
  const keys = { "+": () => zoom(0.8), "=": () => zoom(0.8), "-": () => zoom(1.25), ArrowLeft: () => pan(-0.1, 0), ArrowRight: () => pan(0.1, 0), ArrowUp: () => pan(0, -0.1), ArrowDown: () => pan(0, 0.1), Home: now };
  box.addEventListener("keydown", (e) => { if (keys[e.key]) { e.preventDefault(); keys[e.key](); } });
  for (const button of root.querySelectorAll("[data-zoom]")) {
    const ways = { now, all: () => { close(); view = [...start]; show(); } };
    button.addEventListener("click", ways[button.dataset.zoom] || (() => zoom(Number(button.dataset.zoom))));
  }

  // What is said of a box stands over the lower part of the drawing; the box moves above it.
  let told = null;
  const close = () => {
    if (!told) return;
    told.about.hidden = true;
    for (const one of svg.querySelectorAll(".is-told")) one.classList.remove("is-told");
    told = null;
  };
  const tell = (link) => {
    close();
    const about = document.getElementById(link.getAttribute("aria-controls"));
    if (!about) return;
    told = { about, link };
    about.hidden = false;
    link.parentNode.classList.add("is-told");
    const free = 1 - about.offsetHeight / box.offsetHeight;
    const at = middle(link);
    view = [at.x - view[2] / 2, at.y - view[3] * Math.max(free, 0.3) / 2, view[2], view[3]];
    show();
    about.focus({ preventScroll: true });
    about.scrollIntoView({ block: "nearest" }); // clear of what is always at hand
  };
  // Anywhere on a box will do, between its words and in open corners too.
  const hit = (e) => [...svg.querySelectorAll(".node > a")].find((one) => {
    const at = one.getBoundingClientRect();
    return e.clientX >= at.left && e.clientX <= at.right && e.clientY >= at.top && e.clientY <= at.bottom;
  });
  box.addEventListener("click", (e) => {
    const link = e.target.closest("a") || hit(e);
    if (!link) { close(); return; }
    e.preventDefault();
    tell(link);
  });
  for (const button of root.querySelectorAll("[data-close]")) button.addEventListener("click", () => { const { link } = told; close(); link.focus(); });
  box.parentNode.addEventListener("keydown", (e) => { if (e.key === "Escape" && told) { const { link } = told; close(); link.focus(); } });
  // A box that is come to by the keyboard comes into view.
  box.addEventListener("focusin", (e) => {
    if (e.target === box || !e.target.matches(":focus-visible")) return;
    const at = middle(e.target);
    const seen = at.x > view[0] && at.x < view[0] + view[2] && at.y > view[1] && at.y < view[1] + view[3];
    if (!seen) { view = [at.x - view[2] / 2, at.y - view[3] / 2, view[2], view[3]]; show(); }
  });
};

if (!document.getElementById("beside")) window.diagram(document); // there it comes after the station
