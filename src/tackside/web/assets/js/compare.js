// Two prints at one scale: laid over each other with a divide to drag, or beside each other; one zoom for both.
import { Pane, layTiles } from "./pane.js";

for (const stage of document.querySelectorAll("[data-compare]")) {
  const svg = stage.querySelector("svg.scan");
  const [, , width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
  const pane = new Pane(svg, width, height);
  const slider = stage.querySelector('[data-do="split"]');
  const beside = stage.querySelector('[data-do="beside"]');
  const chosen = (side) => stage.querySelector(`[data-side="${side}"]`).value;
  const isBeside = () => beside.getAttribute("aria-pressed") === "true";

  function lay(side) {
    const layer = stage.querySelector(`[data-layer="${side}-${chosen(side)}"]`);
    const [a, b, c, d, e, f] = layer.getAttribute("transform").match(/-?[\d.]+(e-?\d+)?/g).map(Number);
    const seen = pane.seen;
    const shift = isBeside() && side === "right" ? seen.w / 2 : 0;
    // Back from millimetres to the scan's pixels, at all four corners: it may be turned.
    const det = a * d - b * c;
    const corners = [[seen.x - shift, seen.y], [seen.x + seen.w - shift, seen.y], [seen.x - shift, seen.y + seen.h], [seen.x + seen.w - shift, seen.y + seen.h]]
      .map(([x, y]) => [(d * (x - e) - c * (y - f)) / det, (a * (y - f) - b * (x - e)) / det]);
    const xs = corners.map((each) => each[0]), ys = corners.map((each) => each[1]);
    const part = { x: Math.min(...xs), y: Math.min(...ys), w: Math.max(...xs) - Math.min(...xs), h: Math.max(...ys) - Math.min(...ys) };
    layTiles(layer, part, pane.scale * Math.sqrt(Math.abs(det)));
  }

  function draw() {
    const seen = pane.seen;
    const share = isBeside() ? 0.5 : slider.value / 100;
    const at = seen.x + share * seen.w;
    const left = stage.querySelector('[data-clip="left"]'), right = stage.querySelector('[data-clip="right"]');
    for (const clip of [left, right]) { clip.setAttribute("y", seen.y); clip.setAttribute("height", seen.h); }
    left.setAttribute("x", seen.x);
    left.setAttribute("width", Math.max(0, at - seen.x));
    right.setAttribute("x", at);
    right.setAttribute("width", Math.max(0, seen.x + seen.w - at));
    stage.querySelector('[data-shift="right"]').setAttribute("transform", `translate(${isBeside() ? seen.w / 2 : 0} 0)`);
    stage.querySelector('[data-shift="left"]').setAttribute("transform", "translate(0 0)");
    for (const line of stage.querySelectorAll("[data-split]")) {
      for (const name of ["x1", "x2"]) line.setAttribute(name, at);
      line.setAttribute("y1", seen.y);
      line.setAttribute("y2", seen.y + seen.h);
    }
    lay("left");
    lay("right");
  }

  function choose() {
    for (const layer of stage.querySelectorAll("[data-layer]")) {
      const [side, number] = layer.dataset.layer.split("-");
      if (number === chosen(side)) layer.removeAttribute("display");
      else layer.setAttribute("display", "none");
    }
    draw();
  }

  pane.watchers.push(draw);
  const acts = { in: () => pane.zoom(1.6), out: () => pane.zoom(1 / 1.6), all: () => pane.all() };
  for (const [name, act] of Object.entries(acts)) stage.querySelector(`button[data-do="${name}"]`).addEventListener("click", act);
  beside.addEventListener("click", () => {
    beside.setAttribute("aria-pressed", String(!isBeside()));
    slider.disabled = isBeside();
    // In half the width, the same middle: the view widens so that a whole sheet still shows in each half.
    pane.show(isBeside() ? { ...pane.full, w: pane.full.w * 2 } : { ...pane.full });
  });
  slider.addEventListener("input", draw);
  for (const select of stage.querySelectorAll("[data-side]")) select.addEventListener("change", choose);
  draw();
}
