// One picture or text on the drawing, and its fields in the form: where it lies, and how that is written down.
import { equalBorders, met } from "./card_snap.js";

const PER_UNIT = { mm: 1, in: 25.4 };

export class Part {
  constructor(handle, form) {
    this.handle = handle;
    this.form = form;
    this.model = JSON.parse(handle.dataset.model);
    this.key = handle.dataset.part;
    this.kind = this.model.kind;
    const [x, y, w, h] = this.model.whole;
    this.box = { x, y, w, h };
    this.start = { ...this.box };
  }

  field(name) { return this.form.elements[`${this.key}_${name}`]; }

  get isOnItsOwn() { return this.key !== "credit"; } // the credit stands where the card puts it

  // What shows of a picture: the part of it inside its room.
  get shown() {
    if (this.kind === "text") return this.box;
    const [rx, ry, rw, rh] = this.model.room;
    const x = Math.max(this.box.x, rx), y = Math.max(this.box.y, ry);
    return { x, y, w: Math.max(0.1, Math.min(this.box.x + this.box.w, rx + rw) - x), h: Math.max(0.1, Math.min(this.box.y + this.box.h, ry + rh) - y) };
  }

  // Move what is drawn, everywhere at once: the folded card uses the same drawing.
  draw() {
    const shown = this.shown;
    const drawn = this.handle.ownerSVGElement.querySelector(`[data-drawn="${this.key}"]`);
    set(this.handle, shown);
    const mark = this.handle.ownerSVGElement.querySelector(`[data-mark="${this.key}"]`);
    mark?.setAttribute("transform", `translate(${shown.x + shown.w} ${shown.y})`);
    if (this.kind === "picture") {
      const cut = drawn.querySelector("svg");
      set(cut, shown);
      cut.setAttribute("viewBox", `${shown.x} ${shown.y} ${shown.w} ${shown.h}`);
      set(drawn.querySelector("image"), this.box);
    } else {
      drawn.querySelector(".type").setAttribute("transform", `translate(${this.box.x - this.start.x} ${this.box.y - this.start.y})`);
    }
  }

  // Write the place into the form.
  note() {
    if (this.kind === "picture") {
      this.field("lay").value = "placed";
      this.write({ x: this.box.x, y: this.box.y, w: this.box.w });
      return;
    }
    const [wide, high] = this.model.size;
    const { x, y, w } = this.box;
    const top = Math.max(0, Math.min(y, high - 1));
    const keep = this.model.safe;
    let left = Math.max(0, x), room = w + 0.02;
    if (this.model.align === "centre") {
      const half = Math.max(w / 2 + 0.01, Math.min(x + w / 2 - keep, wide - keep - x - w / 2));
      left = x + w / 2 - half;
      room = 2 * half;
    } else if (this.model.align === "start") room = Math.max(room, wide - keep - left);
    else if (this.model.align === "end") { left = Math.min(left, keep); room = x + w - left; }
    this.field("place").value = "head";
    this.write({ x: Math.max(0, left), y: top, w: room, h: Math.max(this.box.h + 0.02, high - top) });
  }

  write(lengths) {
    const unit = PER_UNIT[this.form.dataset.units] ?? 1;
    const digits = unit === 1 ? 3 : 5;
    for (const [name, mm] of Object.entries(lengths)) this.field(name).value = String(Number((mm / unit).toFixed(digits)));
  }

  // What to say of where it stands.
  place(says, length) {
    const names = met(this.box, this.model);
    const told = [];
    const even = equalBorders(this.box, this.model);
    if (even) told.push((even[1] === 4 ? says.equal_all : says.equal).replace("{mm}", length(even[0])));
    if (names.has("middle-x") && names.has("middle-y")) told.push(says.middle);
    else if (names.has("middle-x")) told.push(says.middle_x);
    else if (names.has("middle-y")) told.push(says.middle_y);
    for (const name of ["safe", "reach", "bleed", "edge"]) if (names.has(name)) told.push(says[`on_${name}`]);
    const where = says.at.replace("{x}", length(this.box.x)).replace("{y}", length(this.box.y)).replace("{w}", length(this.box.w));
    return told.length ? `${where} · ${told.join(" · ")}` : where;
  }
}

function set(element, box) {
  for (const [name, value] of [["x", box.x], ["y", box.y], ["width", box.w], ["height", box.h]]) element.setAttribute(name, value.toFixed(3));
}
