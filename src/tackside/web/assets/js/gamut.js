// A solid of colours to be turned by hand: by pointer, touch or keys. Where nothing can be turned, drawings stay.
import { GamutScene, REACH } from "./gamut_scene.js";

const FIRST_RISE = 22;
const TURN = 6; // degrees for a key
const LABELS = [
  ["L*", [107, 0, 0], "name"], ["100", [100, 0, 0], ""], ["50", [50, 0, 0], ""], ["0", [0, 0, 0], ""],
  ["+a*", [0, REACH + 9, 0], "name"], ["−a*", [0, -REACH - 9, 0], "name"], ["+b*", [0, 0, REACH + 9], "name"], ["−b*", [0, 0, -REACH - 9], "name"],
];
const SVG = "http://www.w3.org/2000/svg";
const rad = (degrees) => (degrees * Math.PI) / 180;

class Gamut {
  constructor(panel) {
    this.panel = panel;
    this.data = JSON.parse(panel.dataset.gamut);
    this.canvas = panel.querySelector("canvas");
    this.scene = new GamutScene(this.canvas, this.data);
    this.find = (name) => panel.querySelector(name);
    this.view = this.first();
    this.pointers = new Map();
    this.coarse = 1;
  }

  first() { return { turn: this.data.turn, rise: FIRST_RISE, zoom: 1 }; }

  async begin() {
    const read = async (name) => {
      const answer = await fetch(`${this.data.base}/${name}`);
      if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
      return answer.arrayBuffer();
    };
    const names = ["one", "other"].slice(0, this.data.solids.length);
    const parts = await Promise.all(names.flatMap((name) => [read(`${name}.bin`), read(`${name}-inside.bin`)]));
    this.data.solids.forEach((told, n) => this.scene.solid(told, parts[2 * n], parts[2 * n + 1]));
    if (this.data.points) this.scene.points(await read("points.bin"));
    const around = this.panel.parentElement;
    for (const each of around.querySelectorAll("[data-plain]")) each.hidden = true;
    for (const each of around.querySelectorAll("[data-live]")) each.removeAttribute("hidden"); // SVG knows no such property
    this.labels = LABELS.map(([words, place, kind]) => {
      const text = document.createElementNS(SVG, "text");
      text.textContent = words;
      if (kind) text.setAttribute("class", kind);
      this.find(".labels").append(text);
      return { text, place, kind };
    });
    this.listen();
    this.show();
    this.panel.dataset.ready = "yes";
  }

  get cut() { return Number(this.find("[data-cut]").value); }

  set cut(level) { this.find("[data-cut]").value = level; this.show(); }

  // What is drawn, from what is chosen above and below it.
  get seen() {
    const dense = this.canvas.width / Math.max(1, this.canvas.clientWidth);
    return { turn: rad(this.view.turn), rise: rad(this.view.rise), zoom: this.view.zoom, cut: this.cut, glass: this.find("[data-glass]").checked, dense };
  }

  show() {
    this.waiting ||= requestAnimationFrame((now) => { this.waiting = 0; this.paced(now); });
    clearTimeout(this.rest);
    this.rest = setTimeout(() => { this.before = 0; this.draw(); this.tell(); }, 300);
  }

  // While it moves: as coarse as it must be for twenty pictures a second; whole again as soon as it rests.
  paced(now) {
    const took = now - (this.before || now);
    if (took > 45 && took < 400) this.coarse = Math.min(3, this.coarse + 0.5);
    else if (took && took < 30) this.coarse = Math.max(1, this.coarse - 0.25);
    this.draw(this.before ? this.coarse : 1);
    this.before = now;
  }

  draw(coarse = 1) {
    const canvas = this.canvas, dense = (window.devicePixelRatio || 1) / coarse;
    const w = Math.max(1, Math.round(canvas.clientWidth * dense)), h = Math.max(1, Math.round(canvas.clientHeight * dense));
    if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
    const seen = { ...this.seen, thin: coarse > 1 };
    const style = getComputedStyle(this.panel);
    const parts = (colour) => colour.match(/[\d.]+/g).slice(0, 3).map((each) => each / 255);
    this.scene.draw(seen, { ink: parts(style.color), surround: parts(style.backgroundColor), points: this.find("[data-points]")?.value || "none" });
    for (const { text, place, kind } of this.labels) {
      const [x, y] = this.scene.where(place, seen);
      text.setAttribute("x", x * canvas.clientWidth + (kind ? 0 : 18));
      text.setAttribute("y", y * canvas.clientHeight);
      text.setAttribute("visibility", (place[0] && Math.abs(this.view.rise) > 70) || (!seen.glass && this.scene.hidden(place, seen)) ? "hidden" : "visible");
    }
    this.find("[data-level]").textContent = this.cut < 100 ? this.cut : this.data.words.whole;
  }

  tell() {
    const { turned, cut } = this.data.words, put = (words, values) => words.replace(/%\((\w+)\)s/g, (_, name) => values[name]);
    const turn = ((Math.round(this.view.turn) % 360) + 360) % 360;
    const said = [put(turned, { turn, rise: Math.round(this.view.rise) }), ...(this.cut < 100 ? [put(cut, { level: this.cut })] : [])].join(" ");
    if (this.find("[data-told]").textContent !== said) this.find("[data-told]").textContent = said;
  }

  turn(by, up = 0) {
    this.view.turn += by;
    this.view.rise = Math.min(90, Math.max(-90, this.view.rise + up));
    this.show();
  }

  zoom(factor) {
    this.view.zoom = Math.min(6, Math.max(0.5, this.view.zoom * factor));
    this.show();
  }

  listen() {
    const canvas = this.canvas;
    this.acts = {
      left: () => this.turn(3 * TURN), right: () => this.turn(-3 * TURN), in: () => this.zoom(1.25), out: () => this.zoom(0.8),
      above: () => { this.view.turn = 0; this.view.rise = 90; this.show(); }, first: () => { this.view = this.first(); this.cut = 100; },
    };
    for (const [name, act] of Object.entries(this.acts)) this.find(`[data-do="${name}"]`).addEventListener("click", act);
    for (const name of ["[data-glass]", "[data-points]", "[data-cut]"]) this.find(name)?.addEventListener("input", () => this.show());
    canvas.addEventListener("wheel", (event) => { event.preventDefault(); this.zoom(Math.exp(-event.deltaY * 0.0012)); }, { passive: false });
    canvas.addEventListener("pointerdown", (event) => { if (!event.button) { this.pointers.set(event.pointerId, event); canvas.setPointerCapture(event.pointerId); } });
    canvas.addEventListener("pointermove", (event) => this.drag(event));
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => this.pointers.delete(event.pointerId));
    canvas.addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.show()).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.show());
  }

  drag(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const other = [...this.pointers.values()].find((each) => each.pointerId !== event.pointerId);
    if (other) {
      const reach = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      this.zoom(reach(event) / Math.max(1, reach(before)));
    } else this.turn(-(event.clientX - before.clientX) * 0.45, (event.clientY - before.clientY) * 0.45);
    this.pointers.set(event.pointerId, event);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const glass = this.find("[data-glass]");
    const acts = {
      ArrowLeft: () => this.turn(TURN), ArrowRight: () => this.turn(-TURN), ArrowUp: () => this.turn(0, TURN), ArrowDown: () => this.turn(0, -TURN),
      "+": this.acts.in, "=": this.acts.in, "-": this.acts.out, 0: this.acts.first, a: this.acts.above,
      g: () => { glass.checked = !glass.checked; this.show(); },
      PageUp: () => { this.cut += 5; }, PageDown: () => { this.cut -= 5; },
    };
    if (!acts[event.key]) return;
    acts[event.key]();
    event.preventDefault();
  }
}

function begin(root) {
  for (const panel of root.querySelectorAll("[data-gamut]:not([data-begun])")) {
    panel.dataset.begun = "yes";
    try {
      panel.gamut = new Gamut(panel); // found again by tests
      panel.gamut.begin().catch((error) => console.warn("The solid cannot be shown:", error.message));
    } catch { /* No WebGL 2: the drawings and the table stay. */ }
  }
}

begin(document);
document.addEventListener("htmx:load", (event) => begin(event.target.parentElement || document));
