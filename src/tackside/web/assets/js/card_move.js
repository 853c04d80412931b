// Moving and zooming a part by pointer, wheel, two fingers and keys, with catching on the lines of its panel.
import { scaled, snapMove, snapZoom } from "./card_snap.js";

const SVG = "http://www.w3.org/2000/svg";
const CATCH_PX = 7;
const SLIP_PX = 4; // a click that slips less than this is still a click

export class Mover {
  // `desk` has parts(key), choose(key), changed(part, told), opened(part).
  constructor(desk, place) {
    this.desk = desk;
    this.pointers = new Map();
    this.held = null;
    place.addEventListener("pointerdown", (event) => this.down(event));
    place.addEventListener("pointermove", (event) => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) place.addEventListener(name, (event) => this.up(event));
    place.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    place.addEventListener("keydown", (event) => this.key(event));
    place.addEventListener("dblclick", (event) => { const part = this.partAt(event); if (part?.kind === "text") this.desk.opened(part); });
  }

  get isBusy() { return this.held !== null; }

  partAt(event) {
    const handle = event.target.closest?.("[data-part]");
    return handle ? this.desk.part(handle.dataset.part) : null;
  }

  // A point of the screen in mm of the part's upright panel.
  at(part, event) {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(part.handle.parentNode.getScreenCTM().inverse());
    return { x: point.x, y: point.y };
  }

  scale(part) {
    const m = part.handle.parentNode.getScreenCTM();
    return Math.hypot(m.a, m.b);
  }

  down(event) {
    if (event.button) return;
    const part = this.partAt(event);
    if (!part) { if (event.target.closest("[data-face-svg]")) this.desk.choose(null); return; }
    const was = this.desk.chosen === part.key;
    if (event.pointerType !== "mouse" && !was) { this.desk.choose(part.key); return; } // a finger may be scrolling
    this.pointers.set(event.pointerId, event);
    if (this.held && this.pointers.size === 2) { this.held.pinch = { box: { ...part.box }, far: this.spread() }; return; }
    part.handle.setPointerCapture(event.pointerId);
    this.held = { part, was, from: this.at(part, event), box: { ...part.box }, x: event.clientX, y: event.clientY, moved: false };
  }

  spread() {
    const [a, b] = [...this.pointers.values()];
    return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) || 1;
  }

  move(event) {
    if (!this.held || !this.pointers.has(event.pointerId)) return;
    this.pointers.set(event.pointerId, event);
    const { part } = this.held;
    if (!part.isOnItsOwn) return;
    if (this.held.pinch && this.pointers.size === 2) {
      if (part.kind === "picture") this.zoomTo(part, this.held.pinch.box, this.spread() / this.held.pinch.far, middle(part));
      this.held.moved = true;
      return;
    }
    if (!this.held.moved && Math.hypot(event.clientX - this.held.x, event.clientY - this.held.y) < SLIP_PX) return;
    if (!this.held.moved) this.desk.choose(part.key);
    this.held.moved = true;
    const now = this.at(part, event);
    const wished = { ...this.held.box, x: this.held.box.x + now.x - this.held.from.x, y: this.held.box.y + now.y - this.held.from.y };
    const { box, hits } = event.altKey ? { box: wished, hits: [] } : snapMove(wished, part.model, CATCH_PX / this.scale(part));
    this.lay(part, box, hits);
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId) || !this.held || this.pointers.size) return;
    const { part, moved, was } = this.held;
    this.held = null;
    this.guides(part, []);
    if (moved) this.desk.changed(part);
    else {
      this.desk.choose(part.key);
      if (part.kind === "text" && (was || event.pointerType === "mouse")) this.desk.opened(part);
    }
  }

  lay(part, box, hits) {
    part.box = bounded(box, part.model);
    part.draw();
    this.guides(part, hits);
    this.desk.tell(part);
  }

  zoomTo(part, from, factor, at, catches = true) {
    const least = 8 / from.w, most = 4 * Math.max(...part.model.size) / Math.min(from.w, from.h);
    const within = Math.min(most, Math.max(least, factor));
    const found = catches ? snapZoom(from, within, at, part.model, CATCH_PX / this.scale(part)) : { box: scaled(from, within, at), hits: [] };
    this.lay(part, found.box, found.hits);
  }

  // The wheel zooms the chosen picture alone, so that the page still scrolls over others.
  wheel(event) {
    const part = this.partAt(event);
    if (!part || part.kind !== "picture" || this.desk.chosen !== part.key) return;
    event.preventDefault();
    const now = performance.now();
    if (!this.rolled || this.rolled.part.key !== part.key || now - this.rolled.at > 500) this.rolled = { part, box: { ...part.box }, factor: 1, about: this.at(part, event) };
    this.rolled.at = now;
    this.rolled.factor *= Math.exp(-event.deltaY * 0.0012);
    this.zoomTo(part, this.rolled.box, this.rolled.factor, this.rolled.about);
    clearTimeout(this.settling);
    this.settling = setTimeout(() => { this.guides(part, []); this.desk.changed(part); }, 260);
  }

  key(event) {
    const part = this.partAt(event);
    if (!part || event.ctrlKey || event.metaKey) return;
    const step = event.shiftKey ? 0.1 : 1;
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (event.key === "Enter" || event.key === " ") {
      this.desk.choose(part.key);
      if (part.kind === "text") this.desk.opened(part);
    } else if (event.key === "Escape") this.desk.choose(null);
    else if (event.key === "Delete" || event.key === "Backspace") this.desk.remove(part);
    else if (!part.isOnItsOwn) return;
    else if (ways[event.key]) {
      const [dx, dy] = ways[event.key];
      this.nudge(part, dx * step, dy * step);
    } else if ("+=-_".includes(event.key)) this.grow(part, "+=".includes(event.key) ? 1 : -1, event.shiftKey && event.key !== "+" ? 0.25 : 1);
    else return;
    event.preventDefault();
  }

  nudge(part, dx, dy) {
    this.desk.choose(part.key);
    this.lay(part, { ...part.box, x: part.box.x + dx, y: part.box.y + dy }, []);
    this.desk.changed(part);
  }

  // Larger or smaller: a picture by two parts in a hundred, words by half a point.
  grow(part, way, share = 1) {
    this.desk.choose(part.key);
    if (part.kind === "text") { this.desk.size(part, way * 0.5 * share); return; }
    this.zoomTo(part, part.box, 1 + way * 0.02 * share, middle(part), false);
    this.desk.changed(part);
  }

  guides(part, hits) {
    const group = part.handle.ownerSVGElement.querySelector("[data-guides]");
    group.setAttribute("transform", part.handle.parentNode.getAttribute("transform"));
    const [wide, high] = part.model.size;
    group.replaceChildren(...hits.flatMap((hit) => ["under", ""].map((kind) => {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("class", kind);
      path.setAttribute("d", hit.axis === "x" ? `M${hit.at} -4V${high + 4}` : `M-4 ${hit.at}H${wide + 4}`);
      return path;
    })));
  }
}

function middle(part) { return { x: part.shown.x + part.shown.w / 2, y: part.shown.y + part.shown.h / 2 }; }

// Some of it always stays on the panel, so that it can be taken hold of again.
function bounded(box, model) {
  const [wide, high] = model.size;
  const least = 4;
  if (model.kind === "text") return { ...box, x: Math.min(Math.max(box.x, 0), Math.max(0, wide - box.w)), y: Math.min(Math.max(box.y, 0), Math.max(0, high - box.h)) };
  return { ...box, x: Math.min(Math.max(box.x, least - box.w), wide - least), y: Math.min(Math.max(box.y, least - box.h), high - least) };
}
