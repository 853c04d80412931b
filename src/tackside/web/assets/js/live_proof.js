// A picture on a card, as fast as it is asked for: the choices above it, pointer and keys, and what is told below it.
import { CardShader, NODES } from "./card_shader.js";

const LIGHT = 4 * NODES ** 3; // bytes of a table of colours
const SLOW_MS = 52, QUICK_MS = 20; // between frames

class LiveProof {
  constructor(form) {
    this.form = form;
    this.canvas = form.querySelector("canvas");
    this.data = JSON.parse(form.dataset.proof);
    this.shader = new CardShader(this.canvas);
    this.tables = new Map();
    this.view = { x: 0, y: 0, step: 1 };
    this.pointers = new Map();
    this.coarsest = 1;
    this.slow = this.quick = 0;
    this.field = (name) => form.elements[name] || form.querySelector(`#${name}`);
  }

  async begin() {
    const { base, original } = this.data;
    const answers = await Promise.all([this.read("picture.jpg"), this.read(`${original}.bin`)]);
    // The numbers as they stand: the tables are for them, not for what a browser would make of them.
    const bitmap = await createImageBitmap(await answers[0].blob(), { colorSpaceConversion: "none", premultiplyAlpha: "none" });
    this.shader.load(bitmap);
    this.original = this.shader.table(new Uint32Array(await answers[1].arrayBuffer()), "light");
    await this.load(this.way);
    this.show(true);
    this.listen();
    this.look();
    this.all();
    this.tell();
    this.form.dataset.ready = base;
    // The others follow, so that a switch waits for nothing.
    for (const way of this.data.ways) await this.load(way);
    this.form.dataset.whole = "yes";
  }

  // The live picture, or the prepared one with its plain form.
  show(live) {
    for (const each of document.querySelectorAll("[data-plain]")) each.hidden = live;
    for (const each of document.querySelectorAll("[data-live]")) each.hidden = !live;
  }

  async read(name) {
    const answer = await fetch(`${this.data.base}/${name}`);
    if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
    return answer;
  }

  load(way) {
    if (!this.tables.has(way.key)) {
      this.tables.set(way.key, this.read(`${way.key}.bin`).then((answer) => answer.arrayBuffer()).then((bytes) => {
        const light = (number) => this.shader.table(new Uint32Array(bytes, number * LIGHT, LIGHT / 4), "light");
        way.tables = { plain: light(0), paper: light(1), sizes: this.shader.table(new Uint8Array(bytes, 2 * LIGHT), "sizes") };
      }));
    }
    return this.tables.get(way.key);
  }

  // Where contrast is lost stands in a picture of its own, which is fetched when it is asked for.
  loadLost(way) {
    way.asked ||= this.read(way.lost).then((answer) => answer.blob())
      .then((blob) => createImageBitmap(blob, { colorSpaceConversion: "none", premultiplyAlpha: "none" }))
      .then((bitmap) => { way.found = this.shader.table(bitmap, "found"); });
    return way.asked;
  }

  // The way that is chosen; where a card has none of that kind, the nearest.
  get way() {
    const score = (each) => 4 * (each.card === this.field("card").value) + 2 * (each.intent === this.field("intent").value) + (each.bpc === this.field("bpc").checked);
    return this.data.ways.reduce((best, each) => (score(each) > score(best) ? each : best));
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
    this.stale = true;
    this.tick ||= requestAnimationFrame((now) => this.frame(now));
  }

  frame(now) {
    this.tick = 0;
    if (this.drawn) this.pace(now - this.drawn);
    this.drawn = 0;
    if (!this.stale) return;
    this.stale = false;
    this.draw();
    if (!this.isMoving) return;
    // The next frame comes when this one is drawn: so long it took.
    this.drawn = now;
    this.tick = requestAnimationFrame((later) => this.frame(later));
  }

  // While it is moved by hand; whole again as soon as the hand rests.
  moving() {
    clearTimeout(this.rest);
    this.isMoving = true;
    this.rest = setTimeout(() => { this.isMoving = false; if (this.coarsest > 1) this.soon(); }, 180);
    this.soon();
  }

  // Coarser while it is moved where frames keep coming late, finer again where they come early.
  pace(gap) {
    this.slow = gap > SLOW_MS ? this.slow + 1 : 0;
    this.quick = gap < QUICK_MS ? this.quick + 1 : 0;
    if (this.slow > 3) { this.coarsest = Math.min(4, this.coarsest + 1); this.slow = 0; }
    if (this.quick > 5) { this.coarsest = Math.max(1, this.coarsest - 1); this.quick = 0; }
  }

  draw() {
    const way = this.way, shows = this.field("show").value, lost = shows === "lost-contrast";
    if (!way.tables) { this.load(way).then(() => this.soon()); return; }
    if (lost && !way.found) { this.loadLost(way).then(() => this.soon()); return; }
    const width = this.canvas.width, half = width / 2, against = this.field("against").value, map = this.data.maps[shows];
    const shown = !map ? { light: this.field("paper").checked ? way.tables.paper : way.tables.plain }
      : lost ? { found: way.found, scale: map.scale }
      : { sizes: way.tables.sizes, part: shows === "difference" ? [25.5 / map.full, 0] : [0, 25.5 / map.full], scale: map.scale };
    const divide = { no: 0, split: (this.field("split").value / 100) * width, beside: half }[against];
    const parts = [{ ...shown, left: divide, right: width, shift: against === "beside" ? half : 0 }];
    if (divide > 0) parts.unshift({ light: this.original, left: 0, right: divide, shift: 0 });
    this.shader.draw({ view: this.view, coarse: this.isMoving ? this.coarsest : 1, surround: this.grey, parts });
  }

  // The page's own grey, as it is now.
  look() {
    this.grey = getComputedStyle(this.form).backgroundColor.match(/[\d.]+/g).slice(0, 3).map((each) => each / 255);
    this.soon();
  }

  tell() {
    const way = this.way, shows = this.field("show").value;
    for (const option of this.field("intent").options) option.disabled = !this.data.ways.some((each) => each.card === way.card && each.intent === option.value);
    this.field("intent").value = way.intent;
    const both = this.data.ways.filter((each) => each.card === way.card && each.intent === way.intent).length > 1;
    this.field("bpc").disabled = !both;
    this.field("split").disabled = this.field("against").value !== "split";
    for (const scale of this.form.querySelectorAll("[data-scale]")) scale.toggleAttribute("hidden", scale.dataset.scale !== shows);
    const words = [...this.form.querySelectorAll(".tools select:not(#against)")].map((each) => each.selectedOptions[0].textContent);
    this.form.querySelector("[data-told]").textContent = words.join(" · ");
    this.soon();
  }

  listen() {
    const canvas = this.canvas, form = this.form;
    form.addEventListener("submit", (event) => { if (!canvas.hidden) event.preventDefault(); });
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
    canvas.addEventListener("webglcontextlost", () => this.show(false));
    new ResizeObserver(() => { const before = [canvas.width, canvas.height].join(); this.fit(); if (before !== [canvas.width, canvas.height].join()) this.all(); }).observe(canvas);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.look());
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
