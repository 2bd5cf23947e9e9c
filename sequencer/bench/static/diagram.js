// The diagram: drag, pinch, wheel, and the keys + − and arrows. It opens at what is next, at a size that can be
// read; "All of it" shows the whole.
"use strict";

(() => {
  const LEGIBLE = 15; // pixels of a letter
  const box = document.querySelector(".diagram");
  const svg = box && box.querySelector("svg");
  if (!svg) return;
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  const { x, y, width, height } = svg.viewBox.baseVal;
  const start = [x, y, width, height];
  let view = [...start];
  const show = () => svg.setAttribute("viewBox", view.join(" "));

  // Where things are on the screen now, in the picture's own measure.
  const middle = (one) => {
    const place = one.getBoundingClientRect();
    const point = new DOMPoint((place.left + place.right) / 2, (place.top + place.bottom) / 2);
    return point.matrixTransform(svg.getScreenCTM().inverse());
  };

  const open = () => {
    const labels = [...svg.querySelectorAll("text")].filter((one) => one.textContent.trim()); // a blank keeps a gap
    const now = svg.getScreenCTM().a;
    const letter = (one) => parseFloat(one.getAttribute("font-size") || "14") * (one.getScreenCTM().a / now);
    const sizes = labels.map(letter).sort((one, other) => one - other); // a drawing may be scaled in its picture
    const size = box.getBoundingClientRect();
    const scale = LEGIBLE / sizes[sizes.length >> 1]; // pixels for one of the picture; a few letters may be small
    const [wide, high] = [size.width / scale, size.height / scale];
    if (!labels.length || (wide >= width && high >= height)) return;
    const links = [...svg.querySelectorAll("a")];
    const wanted = links.find((one) => one.getAttribute("href") === box.dataset.focus);
    const at = wanted ? middle(wanted) : crowd(labels.map(middle), wide, high);
    view = [within(at.x, wide, x, width), within(at.y, high, y, height), wide, high];
  };

  // Where a view begins that has ``at`` in its middle, but shows nothing beyond the drawing if it can.
  const within = (at, size, from, whole) =>
    (size >= whole ? from + (whole - size) / 2 : Math.min(Math.max(at - size / 2, from), from + whole - size));

  // The label that has most others around it: somewhere to begin where nothing is next.
  const crowd = (points, wide, high) => {
    const near = (one) => points.filter((other) => Math.abs(other.x - one.x) < wide / 2 && Math.abs(other.y - one.y) < high / 2).length;
    return points.reduce((best, one) => (near(one) > near(best) ? one : best));
  };

  const zoom = (factor, cx = 0.5, cy = 0.5) => {
    const most = 1.5 * Math.max(start[2], start[3] * (view[2] / view[3]));
    const wide = Math.min(Math.max(view[2] * factor, start[2] / 40), most);
    const high = wide * (view[3] / view[2]);
    view = [view[0] + (view[2] - wide) * cx, view[1] + (view[3] - high) * cy, wide, high];
    show();
  };
  const pan = (dx, dy) => { view[0] += dx * view[2]; view[1] += dy * view[3]; show(); };

  open();
  show();
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
  box.addEventListener("click", (e) => { if (moved > 12) { e.preventDefault(); e.stopPropagation(); } }, true);
  box.addEventListener("wheel", (e) => {
    e.preventDefault();
    const size = box.getBoundingClientRect();
    zoom(e.deltaY > 0 ? 1.15 : 0.87, (e.clientX - size.left) / size.width, (e.clientY - size.top) / size.height);
  }, { passive: false });
  const keys = { "+": () => zoom(0.8), "=": () => zoom(0.8), "-": () => zoom(1.25), ArrowLeft: () => pan(-0.1, 0), ArrowRight: () => pan(0.1, 0), ArrowUp: () => pan(0, -0.1), ArrowDown: () => pan(0, 0.1) };
  box.addEventListener("keydown", (e) => { if (keys[e.key]) { e.preventDefault(); keys[e.key](); } });
  for (const button of document.querySelectorAll("[data-zoom]")) {
    button.addEventListener("click", () => (button.dataset.zoom === "all" ? (view = [...start], show()) : zoom(Number(button.dataset.zoom))));
  }
})();
