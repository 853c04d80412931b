// A picture on a card, as fast as it is asked for: the choices above it, pointer and keys, and what is told below it.
import { CardShader, NODES } from "./card_shader.js";

const LIGHT = 3 * NODES ** 3; // numbers of a table

class LiveProof {
  constructor(form) {
    this.form = form;
    this.canvas = form.querySelector("canvas");
    this.data = JSON.parse(form.dataset.proof);
    this.shader = new CardShader(this.canvas);
    this.tables = new Map();
    this.view = { x: 0, y: 0, step: 1 };
    this.pointers = new Map();
    this.coarse = this.coarsest = 1;
    this.field = (name) => form.elements[name] || form.querySelector(`#${name}`);
  }

  async begin() {
    const { base, original } = this.data;
    const answers = await Promise.all([this.read("picture.jpg"), this.read(`${original}.bin`)]);
    // The numbers as they stand: the tables are for them, not for what a browser would make of them.
    const bitmap = await createImageBitmap(await answers[0].blob(), { colorSpaceConversion: "none", premultiplyAlpha: "none" });
    this.shader.picture(bitmap);
    this.original = this.shader.table(new Uint16Array(await answers[1].arrayBuffer()), "light");
    await this.load(this.way);
    for (const each of document.querySelectorAll("[data-plain]")) each.hidden = true;
    for (const each of document.querySelectorAll("[data-live]")) each.hidden = false;
    this.listen();
    this.all();
    this.tell();
    this.form.dataset.ready = base;
    // The others follow, so that a switch waits for nothing.
    for (const way of this.data.ways) await this.load(way);
    this.form.dataset.whole = "yes";
  }

  async read(name) {
    const answer = await fetch(`${this.data.base}/${name}`);
    if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
    return answer;
  }

  load(way) {
    if (!this.tables.has(way.key)) {
      this.tables.set(way.key, this.read(`${way.key}.bin`).then((answer) => answer.arrayBuffer()).then((bytes) => {
        const light = (number) => this.shader.table(new Uint16Array(bytes, number * LIGHT * 2, LIGHT), "light");
        way.tables = { plain: light(0), paper: light(1), maps: this.shader.table(new Uint8Array(bytes, LIGHT * 4), "sizes") };
      }));
    }
    return this.tables.get(way.key);
  }

  // The way that is chosen; where a card has none of that kind, the nearest.
  get way() {
    const mine = this.data.ways.filter((each) => each.trial === this.field("card").value && each.intent === this.field("intent").value);
    return mine.find((each) => each.bpc === this.field("bpc").checked) || mine[0];
  }

  get beside() { return this.field("against").value === "beside"; }

  get room() { return { w: this.beside ? this.canvas.width / 2 : this.canvas.width, h: this.canvas.height }; }

  fit() {
    const dense = window.devicePixelRatio || 1;
    const w = Math.max(1, Math.round(this.canvas.clientWidth * dense)), h = Math.max(1, Math.round(this.canvas.clientHeight * dense));
    if (this.canvas.width !== w || this.canvas.height !== h) { this.canvas.width = w; this.canvas.height = h; }
  }

  all() {
    this.fit();
    const [w, h] = this.shader.size, room = this.room;
    const step = Math.max(w / room.w, h / room.h);
    this.view = { x: (w - room.w * step) / 2, y: (h - room.h * step) / 2, step };
    this.soon();
  }

  zoom(factor, at = { x: this.room.w / 2, y: this.room.h / 2 }) {
    const { x, y, step } = this.view;
    const [w, h] = this.shader.size;
    const next = Math.min(Math.max(step / factor, 1 / 32), 2 * Math.max(w / this.room.w, h / this.room.h, 1));
    this.view = { x: x + at.x * (step - next), y: y + at.y * (step - next), step: next };
    this.moving();
  }

  move(dx, dy) {
    const { x, y, step } = this.view;
    this.view = { x: x - dx * step, y: y - dy * step, step };
    this.moving();
  }

  // Whole pixels of the picture on whole pixels of the screen.
  pixels() {
    this.zoom(this.view.step);
    this.view.x = Math.round(this.view.x);
    this.view.y = Math.round(this.view.y);
  }

  soon() {
    if (!this.waiting) this.waiting = requestAnimationFrame(() => { this.waiting = 0; if (this.isMoving) this.paced(); else this.draw(); });
  }

  // While it is moved by hand: as coarse as it must be to keep up; whole again as soon as the hand rests.
  moving() {
    clearTimeout(this.rest);
    this.isMoving = true;
    this.coarse = this.coarsest;
    this.rest = setTimeout(() => { this.isMoving = false; this.coarse = 1; this.soon(); }, 180);
    this.soon();
  }

  // Draw while it is moved, wait for it, and be coarser or finer the next time: 25 frames a second if it can be.
  paced() {
    const begun = performance.now();
    this.draw();
    this.shader.finish();
    const took = performance.now() - begun;
    if (took > 40) this.coarsest = Math.min(4, this.coarsest + 1);
    else if (took < 10) this.coarsest = Math.max(1, this.coarsest - 1);
    if (this.isMoving) this.coarse = this.coarsest;
  }

  draw() {
    const tables = this.way.tables;
    if (!tables) { this.load(this.way).then(() => this.soon()); return; }
    const shows = this.field("show").value, map = this.data.maps[shows] || this.data.maps.difference;
    const grey = getComputedStyle(this.form).backgroundColor.match(/[\d.]+/g).slice(0, 3).map((each) => each / 255);
    const against = this.field("against").value, half = this.canvas.width / 2;
    this.shader.draw({
      print: this.field("paper").checked ? tables.paper : tables.plain, original: this.original, maps: tables.maps, view: this.view,
      divide: against === "no" ? -1 : against === "split" ? (this.field("split").value / 100) * this.canvas.width : half,
      shift: against === "beside" ? half : 0, coarse: this.coarse,
      map: { difference: 1, outside: 2 }[shows] || 0, full: map.full, scale: map.scale, surround: grey,
    });
  }

  tell() {
    const way = this.way;
    this.field("bpc").disabled = this.data.ways.filter((each) => each.trial === way.trial && each.intent === way.intent).length < 2;
    this.field("split").disabled = this.field("against").value !== "split";
    const words = [...this.form.querySelectorAll(".tools select:not(#against)")].map((each) => each.selectedOptions[0].textContent);
    this.form.querySelector("[data-told]").textContent = words.join(" · ");
    this.soon();
  }

  listen() {
    const canvas = this.canvas, form = this.form;
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("change", (event) => { if (event.target.id === "against") this.all(); this.tell(); });
    this.field("split").addEventListener("input", () => this.moving());
    this.acts = {
      in: () => this.zoom(1.5), out: () => this.zoom(1 / 1.5), all: () => this.all(), pixels: () => this.pixels(),
      full: () => (document.fullscreenElement ? document.exitFullscreen() : form.requestFullscreen().then(() => canvas.focus())),
    };
    for (const [name, act] of Object.entries(this.acts)) form.querySelector(`[data-do="${name}"]`).addEventListener("click", act);
    canvas.addEventListener("wheel", (event) => { event.preventDefault(); this.zoom(Math.exp(-event.deltaY * 0.0016), this.at(event)); }, { passive: false });
    canvas.addEventListener("pointerdown", (event) => { if (!event.button) { this.pointers.set(event.pointerId, event); canvas.setPointerCapture(event.pointerId); } });
    canvas.addEventListener("pointermove", (event) => this.drag(event));
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => this.pointers.delete(event.pointerId));
    canvas.addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => { const before = [canvas.width, canvas.height].join(); this.fit(); if (before !== [canvas.width, canvas.height].join()) this.all(); }).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.soon());
  }

  at(event) {
    const box = this.canvas.getBoundingClientRect(), dense = this.canvas.width / box.width;
    const x = (event.clientX - box.left) * dense;
    return { x: this.beside && x > this.room.w ? x - this.room.w : x, y: (event.clientY - box.top) * dense };
  }

  drag(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const other = [...this.pointers.values()].find((each) => each.pointerId !== event.pointerId);
    const dense = this.canvas.width / this.canvas.clientWidth;
    if (other) {
      const reach = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      this.zoom(reach(event) / Math.max(1, reach(before)), this.at(other));
    } else this.move((event.clientX - before.clientX) * dense, (event.clientY - before.clientY) * dense);
    this.pointers.set(event.pointerId, event);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const next = (name) => { const field = this.field(name); field.selectedIndex = (field.selectedIndex + 1) % field.options.length; };
    const turn = (name) => { const field = this.field(name); if (!field.disabled) field.checked = !field.checked; };
    const far = this.room.w * 0.12;
    const acts = {
      i: () => next("intent"), m: () => next("show"), o: () => { next("against"); this.all(); }, b: () => turn("bpc"), w: () => turn("paper"), f: this.acts.full,
      "+": this.acts.in, "=": this.acts.in, "-": this.acts.out, 0: this.acts.all,
      ArrowLeft: () => this.move(far, 0), ArrowRight: () => this.move(-far, 0), ArrowUp: () => this.move(0, far), ArrowDown: () => this.move(0, -far),
    };
    const card = this.field("card");
    if (/^[1-9]$/.test(event.key) && card.options[event.key - 1]) card.selectedIndex = event.key - 1;
    else if (acts[event.key]) acts[event.key]();
    else return;
    event.preventDefault();
    this.tell();
  }
}

for (const form of document.querySelectorAll("[data-proof]")) {
  try {
    form.proof = new LiveProof(form); // found again by tests and benchmarks
    form.proof.begin().catch((error) => console.warn("The live proof cannot be shown:", error.message));
  } catch { /* No WebGL 2: the prepared pictures and the plain form stay. */ }
}
