// A field over the words on the drawing.
export class Words {
  constructor(desk, key, isNew) {
    this.desk = desk;
    this.key = key;
    this.field = desk.form.elements[`${key}_text`];
    this.box = document.createElement("textarea");
    this.box.className = "in-place";
    this.box.value = this.field.value;
    this.box.setAttribute("aria-label", desk.says.write);
    this.box.addEventListener("input", () => { this.field.value = this.box.value; desk.touched(); this.grow(); });
    this.box.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Escape" || (event.key === "Enter" && (event.ctrlKey || event.metaKey))) { event.preventDefault(); desk.closeWords(); desk.part(key)?.handle.focus({ preventScroll: true }); }
    });
    this.box.addEventListener("blur", () => { if (desk.words === this) desk.closeWords(); });
    desk.place.append(this.box);
    this.follow();
    this.box.focus({ preventScroll: true });
    if (isNew) this.box.select();
  }

  follow() {
    const part = this.desk.part(this.key);
    if (!part) return;
    const seen = part.handle.getBoundingClientRect(), place = this.desk.place.getBoundingClientRect();
    const scale = this.desk.mover.scale(part);
    const size = Math.max(13, part.model.size_pt * (25.4 / 72) * scale);
    const wide = Math.min(place.width - 16, Math.max(seen.width + 2 * size, 190));
    this.box.className = `in-place ${part.field("face").value.replace(/\s+/g, "-")}`;
    this.box.style.fontSize = `${Math.min(size, 40)}px`;
    this.box.style.textAlign = { centre: "center", end: "end" }[part.model.align] ?? "start";
    this.box.style.width = `${wide}px`;
    this.box.style.left = `${Math.min(Math.max(8, seen.left + seen.width / 2 - place.left - wide / 2), place.width - wide - 8)}px`;
    this.box.style.top = `${Math.max(4, seen.top - place.top - size * 0.25)}px`;
    this.grow();
  }

  grow() {
    this.box.style.height = "auto";
    this.box.style.height = `${this.box.scrollHeight + 4}px`;
  }

  close() { this.box.remove(); }
}
