// A card that was changed and not saved is offered again, whatever became of the page or the program: the server lays it
// out anew from what stood in its form. It is forgotten once a later revision is there.

export class Draft {
  constructor(form) {
    this.form = form;
    this.key = `draft:card:${form.dataset.card}`;
    const kept = this.kept();
    if (kept && !("unkept" in form.dataset)) this.offer(kept);
  }

  typed() { return [...new FormData(this.form)].filter(([name, value]) => name !== "csrf" && typeof value === "string"); }

  keep() {
    try { localStorage.setItem(this.key, JSON.stringify(this.typed())); } catch { /* no room, or none allowed: it is a help alone */ }
  }

  // What was kept of the revision that is shown, where it differs from it.
  kept() {
    const after = this.form.elements.after.value;
    try {
      const found = JSON.parse(localStorage.getItem(this.key) || "null");
      if (found && new Map(found).get("after") === after && JSON.stringify(found) !== JSON.stringify(this.typed())) return found;
    } catch { /* not ours */ }
    localStorage.removeItem(this.key);
    return null;
  }

  offer(typed) {
    const note = document.querySelector("[data-unsaved]");
    for (const [name, value] of typed) {
      const field = document.createElement("input");
      Object.assign(field, { type: "hidden", name, value });
      note.querySelector("form").append(field);
    }
    note.hidden = false;
    note.querySelector("[data-leave]").addEventListener("click", () => {
      localStorage.removeItem(this.key);
      note.hidden = true;
    });
  }
}
