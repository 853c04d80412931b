// A pane one can look into: an SVG whose view box is moved and zoomed, with tiles laid in as they are needed.

export class Pane {
  constructor(svg, width, height) {
    this.svg = svg;
    svg.style.aspectRatio = `${width} / ${height}`; // the pane keeps its shape, whatever part is looked at
    this.full = { x: 0, y: 0, w: width, h: height };
    this.view = { ...this.full };
    this.watchers = [];
    this.pointers = new Map();
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) svg.addEventListener(name, (event) => this.pointers.delete(event.pointerId));
    svg.addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.show(this.view)).observe(svg);
  }

  // Screen pixels for each unit of the picture.
  get scale() {
    const box = this.svg.getBoundingClientRect();
    return Math.min(box.width / this.view.w, box.height / this.view.h);
  }

  show(view) {
    this.view = view;
    this.svg.setAttribute("viewBox", `${view.x} ${view.y} ${view.w} ${view.h}`);
    for (const each of this.watchers) each(this);
  }

  // What of the picture is on the screen: more than the view box where the pane has another shape.
  get seen() {
    const box = this.svg.getBoundingClientRect();
    const scale = this.scale || 1;
    const w = box.width / scale, h = box.height / scale;
    return { x: this.view.x - (w - this.view.w) / 2, y: this.view.y - (h - this.view.h) / 2, w, h };
  }

  at(event) {
    const box = this.svg.getBoundingClientRect();
    const seen = this.seen;
    return { x: seen.x + ((event.clientX - box.left) / box.width) * seen.w, y: seen.y + ((event.clientY - box.top) / box.height) * seen.h };
  }

  zoom(factor, at = { x: this.view.x + this.view.w / 2, y: this.view.y + this.view.h / 2 }) {
    const least = this.full.w / 400;
    const w = Math.min(this.full.w * 1.5, Math.max(least, this.view.w / factor));
    const real = this.view.w / w;
    this.show({ x: at.x - (at.x - this.view.x) / real, y: at.y - (at.y - this.view.y) / real, w, h: this.view.h / real });
  }

  all() { this.show({ ...this.full }); }

  // Bring a part into view, with some room around it.
  to(box) {
    const room = Math.max(box.w, box.h) * 0.35 + this.full.w * 0.01;
    this.show({ x: box.x - room, y: box.y - room, w: box.w + 2 * room, h: box.h + 2 * room });
  }

  wheel(event) {
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY * 0.0016), this.at(event));
  }

  down(event) {
    if (event.button) return;
    this.pointers.set(event.pointerId, event);
    this.svg.setPointerCapture(event.pointerId);
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const others = [...this.pointers.values()].filter((each) => each.pointerId !== event.pointerId);
    if (others.length) {
      const reach = (a, b) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
      const factor = reach(event, others[0]) / Math.max(1, reach(before, others[0]));
      this.zoom(factor, this.at(others[0]));
    } else {
      const scale = this.scale;
      this.show({ ...this.view, x: this.view.x - (event.clientX - before.clientX) / scale, y: this.view.y - (event.clientY - before.clientY) / scale });
    }
    this.pointers.set(event.pointerId, event);
  }

  key(event) {
    const step = 0.12;
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (ways[event.key]) {
      const [x, y] = ways[event.key];
      this.show({ ...this.view, x: this.view.x + x * step * this.view.w, y: this.view.y + y * step * this.view.h });
    } else if (event.key === "+" || event.key === "=") this.zoom(1.4);
    else if (event.key === "-") this.zoom(1 / 1.4);
    else if (event.key === "0") this.all();
    else return;
    event.preventDefault();
  }
}

const SVG = "http://www.w3.org/2000/svg";

// Tiles of one scan in the group `holder`, whose data say where they come from. `part` is what of it is seen, in its
// own pixels; `scale` screen pixels for each of them.
export function layTiles(holder, part, scale) {
  const { base, width, height, levels, tile } = holder.dataset;
  const group = holder.querySelector(".tiles");
  const dense = scale * (window.devicePixelRatio || 1);
  const top = levels - 1;
  const level = Math.max(0, Math.min(top, Math.ceil(top + Math.log2(Math.max(dense, 1e-6)))));
  const side = tile * 2 ** (top - level);
  holder.classList.toggle("pixelated", scale > 2);
  if (level < Math.log2(1600) || side >= Math.max(width, height) * 2) { group.replaceChildren(); return; }
  const first = { x: Math.max(0, Math.floor(part.x / side)), y: Math.max(0, Math.floor(part.y / side)) };
  const last = { x: Math.min(Math.ceil(width / side) - 1, Math.floor((part.x + part.w) / side)), y: Math.min(Math.ceil(height / side) - 1, Math.floor((part.y + part.h) / side)) };
  const wanted = new Set();
  for (let row = first.y; row <= last.y; row += 1) for (let column = first.x; column <= last.x; column += 1) wanted.add(`${level}/${column}/${row}`);
  const there = new Set();
  for (const image of [...group.children]) {
    if (wanted.has(image.dataset.name)) there.add(image.dataset.name);
    else image.remove();
  }
  for (const name of wanted) {
    if (there.has(name)) continue;
    const [, column, row] = name.split("/").map(Number);
    const image = document.createElementNS(SVG, "image");
    image.dataset.name = name;
    image.setAttribute("href", `${base}/tiles/${name}.jpg`);
    image.setAttribute("x", column * side);
    image.setAttribute("y", row * side);
    // The last tile of a row or column is cut at the scan's edge, rounded up at smaller levels.
    image.setAttribute("width", Math.min(side, (Math.ceil(width / 2 ** (top - level)) - column * tile) * 2 ** (top - level)));
    image.setAttribute("height", Math.min(side, (Math.ceil(height / 2 ** (top - level)) - row * tile) * 2 ** (top - level)));
    image.setAttribute("preserveAspectRatio", "none");
    group.append(image);
  }
}
