// The folded card: where it has one crease, it stands, opens and turns over.

export class Folded {
  constructor(workplace, says) {
    this.workplace = workplace;
    this.says = says;
    this.seen = "front";
    new ResizeObserver(() => this.fit()).observe(workplace);
  }

  // A new drawing has come: show it as the old one was shown.
  dress() {
    const standing = this.workplace.querySelector("[data-standing]");
    if (!standing) return;
    this.workplace.querySelector("[data-folded] .held").hidden = true;
    standing.hidden = false;
    standing.dataset.seen = this.seen;
    const turns = document.createElement("div");
    turns.className = "turns";
    turns.setAttribute("role", "group");
    turns.setAttribute("aria-label", this.says.folded);
    for (const name of ["front", "inside", "back"]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = this.says[`see_${name}`];
      button.setAttribute("aria-pressed", String(name === this.seen));
      button.addEventListener("click", () => this.see(name));
      button.dataset.see = name;
      turns.append(button);
    }
    standing.after(turns);
    this.fit();
  }

  see(name) {
    this.seen = name;
    const standing = this.workplace.querySelector("[data-standing]");
    if (!standing) return;
    standing.dataset.seen = name;
    for (const button of this.workplace.querySelectorAll(".turns button")) button.setAttribute("aria-pressed", String(button.dataset.see === name));
  }

  fit() {
    const standing = this.workplace.querySelector("[data-standing]");
    if (!standing || standing.hidden) return;
    const ratio = Number(standing.querySelector(".cover .out svg").dataset.ratio);
    const room = { w: standing.clientWidth * 0.8, h: standing.clientHeight * 0.86 };
    const w = Math.min(room.w, room.h * ratio);
    const turner = standing.querySelector(".turner");
    turner.style.width = `${w}px`;
    turner.style.height = `${w / ratio}px`;
  }
}
