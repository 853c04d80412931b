// The scan of one trial: zoomed to the pixel, and each reason shown where it was read.
import { Pane, layTiles } from "./pane.js";

const SVG = "http://www.w3.org/2000/svg";

function outlineOf(polygons) {
  const xs = [], ys = [];
  for (const polygon of polygons) for (const point of polygon.points) { xs.push(point.x); ys.push(point.y); }
  const x = Math.min(...xs), y = Math.min(...ys);
  return { x, y, w: Math.max(...xs) - x, h: Math.max(...ys) - y };
}

function show(viewer, pane, key, sentence) {
  const evidence = viewer.querySelector(".evidence");
  const found = [...viewer.querySelectorAll("[data-keys]")].filter((each) => each.dataset.keys.split(" ").includes(key));
  evidence.replaceChildren(...found.flatMap((each) => ["shown-under", "shown"].map((name) => {
    const copy = document.createElementNS(SVG, "polygon");
    copy.setAttribute("points", each.getAttribute("points"));
    copy.setAttribute("class", name);
    return copy;
  })));
  if (!found.length) return;
  pane.to(outlineOf(found));
  viewer.querySelector("[data-told]").textContent = sentence;
}

for (const viewer of document.querySelectorAll("[data-viewer]")) {
  const svg = viewer.querySelector("svg.scan");
  const pane = new Pane(svg, Number(viewer.dataset.width), Number(viewer.dataset.height));
  pane.watchers.push(() => layTiles(viewer, pane.seen, pane.scale));
  const acts = { in: () => pane.zoom(1.6), out: () => pane.zoom(1 / 1.6), all: () => pane.all(), pixel: () => pane.zoom(1 / (pane.scale * (window.devicePixelRatio || 1))) };
  for (const button of viewer.querySelectorAll("button[data-do]")) button.addEventListener("click", acts[button.dataset.do]);
  viewer.querySelector('[data-do="found"]').addEventListener("change", (event) => viewer.classList.toggle("bare", !event.target.checked));
  svg.addEventListener("pointerover", (event) => {
    const title = event.target.querySelector?.("title");
    if (title) viewer.querySelector("[data-told]").textContent = title.textContent;
  });
  for (const link of document.querySelectorAll("a[data-show]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      for (const each of document.querySelectorAll("a[data-show][aria-current]")) each.removeAttribute("aria-current");
      link.setAttribute("aria-current", "true");
      viewer.classList.remove("bare");
      viewer.querySelector('[data-do="found"]').checked = true;
      show(viewer, pane, link.dataset.show, link.textContent.trim());
      history.replaceState(null, "", link.getAttribute("href").replace("#scan", ""));
      viewer.scrollIntoView({ block: "nearest", behavior: "smooth" });
    });
  }
  const current = document.querySelector("a[data-show][aria-current]");
  if (current) show(viewer, pane, current.dataset.show, current.textContent.trim());
}
