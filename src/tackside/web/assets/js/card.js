// The page of a card: the drawing and the form are one; what is changed in either is drawn anew by the server.
import { Draft } from "./card_draft.js";
import { Folded } from "./card_folded.js";
import { Mover } from "./card_move.js";
import { Part } from "./card_part.js";
import { Past } from "./card_past.js";
import { watchFonts } from "./card_fonts.js";
import { offer, watchPictures } from "./card_pictures.js";
import { Words } from "./card_words.js";

const PAUSE_MS = 160;

class Desk {
  constructor(form) {
    this.form = form;
    this.place = form.querySelector("[data-workplace]");
    this.live = form.querySelector("[data-live]");
    this.bar = form.querySelector("[data-bar]");
    this.told = form.querySelector("[data-told]");
    this.says = JSON.parse(this.bar.dataset.says);
    this.base = form.dataset.card;
    this.face = "outside";
    this.chosen = null;
    this.asked = 0; // how often the card has changed or been asked about
    this.answered = 0; // the last of those that is drawn
    this.isChanged = "unkept" in form.dataset;
    this.past = new Past(form, this.bar.querySelector("[data-undo]"));
    this.draft = new Draft(form);
    this.folded = new Folded(this.place, this.says);
    new ResizeObserver(() => this.sizeNames()).observe(this.place);
    this.mover = new Mover(this, this.live);
    this.dressBar();
    this.dress();
    this.told.textContent = this.says.hint;
    for (const blank of document.querySelectorAll("[data-blank]")) blank.remove();
    form.addEventListener("input", (event) => this.typed(event));
    form.addEventListener("submit", () => { this.isChanged = false; });
    this.live.addEventListener("focusin", (event) => { const key = event.target.dataset?.part; if (key && event.target.matches(":focus-visible")) this.choose(key); });
    window.addEventListener("beforeunload", (event) => { if (this.isChanged) event.preventDefault(); });
    document.addEventListener("keydown", (event) => {
      if (!event.ctrlKey && !event.metaKey) return;
      if (event.key === "s") { event.preventDefault(); form.requestSubmit(); }
      if (event.key === "z" && !event.target.matches("input, textarea")) { event.preventDefault(); this.undo(); }
    });
  }

  length(mm) {
    const inches = this.form.dataset.units === "in";
    const digits = inches ? 3 : 1;
    const number = (inches ? mm / 25.4 : mm).toLocaleString(document.documentElement.lang, {
      minimumFractionDigits: digits, maximumFractionDigits: digits, useGrouping: false,
    });
    return `${number} ${inches ? "in" : "mm"}`;
  }

  // What is drawn.
  dress() {
    this.parts = new Map([...this.live.querySelectorAll("[data-part]")].map((handle) => [handle.dataset.part, new Part(handle, this.form)]));
    this.folded.dress();
    this.showFace(this.face);
    if (this.chosen && !this.parts.has(this.chosen)) this.chosen = null;
    this.mark();
    const part = this.part(this.chosen);
    if (part) this.tell(part);
  }

  part(key) { return this.parts.get(key) ?? null; }

  showFace(name) {
    const faces = [...this.live.querySelectorAll("[data-face]")];
    this.face = faces.some((each) => each.dataset.face === name) ? name : faces[0].dataset.face;
    for (const each of faces) each.hidden = each.dataset.face !== this.face;
    for (const tab of this.bar.querySelectorAll("[data-tab]")) tab.setAttribute("aria-pressed", String(tab.dataset.tab === this.face));
    this.sizeNames();
  }

  // Names beside the sheet keep the size of print on a page, however large the sheet is drawn.
  sizeNames() {
    for (const svg of this.live.querySelectorAll("[data-face-svg]")) {
      const m = svg.getScreenCTM();
      if (m?.a) svg.style.fontSize = `${Math.min(10.5, 12.5 / m.a)}px`;
    }
  }

  turnTo(name) {
    this.showFace(name);
    this.folded.see(name === "outside" ? "front" : name === "inside" ? "inside" : "back");
  }

  choose(key) {
    if (key === this.chosen) return;
    this.closeWords();
    this.chosen = key;
    this.mark();
    const part = this.part(key);
    if (part) this.tell(part);
    else this.told.textContent = this.says.hint;
  }

  // The chosen part is marked on the drawing, in the form and in the bar.
  mark() {
    for (const each of this.live.querySelectorAll(".handle")) each.classList.toggle("chosen", each.dataset.part === this.chosen);
    for (const each of this.form.querySelectorAll("[data-fields]")) each.classList.toggle("chosen", each.dataset.fields === this.chosen);
    const part = this.part(this.chosen);
    const kind = part === null || !part.isOnItsOwn ? "none" : part.kind;
    for (const group of this.bar.querySelectorAll("[data-for]")) group.hidden = group.dataset.for !== kind;
    if (part === null || kind === "none") return;
    for (const tool of this.bar.querySelectorAll(`[data-for="${kind}"] [data-field]`)) tool.value = part.field(tool.dataset.field).value;
    for (const tool of this.bar.querySelectorAll(`[data-for="${kind}"] [data-value]`)) tool.setAttribute("aria-pressed", String(part.field(tool.dataset.of).value === tool.dataset.value));
  }

  tell(part) {
    const said = part.isOnItsOwn ? part.place(this.says, (mm) => this.length(mm)) : "";
    this.told.textContent = said;
  }

  // What is changed.
  changed(part) {
    part.note();
    this.touched();
  }

  size(part, by) {
    const field = part.field("size");
    field.value = String(Math.max(3, Math.min(200, Number(field.value.replace(",", ".")) + by)));
    this.touched();
  }

  remove(part) {
    const field = part.key === "credit" ? null : part.kind === "picture" ? part.field("image") : part.field("text");
    if (!field) return;
    field.value = "";
    this.choose(null);
    this.touched();
  }

  typed(event) {
    if (!event.target.name || event.target.name === "file") return;
    const key = event.target.name.split("_")[0];
    // A place typed by hand is one; a box or a border that is chosen by name takes the place of a dragged one.
    if (/^p\d+_[xyw]$/.test(event.target.name)) this.form.elements[`${key}_lay`].value = "placed";
    if (/^t\d+_place$/.test(event.target.name)) for (const name of ["x", "y", "w", "h"]) this.form.elements[`${key}_${name}`].value = "";
    if (this.parts.has(key)) { this.chosen = key; this.mark(); }
    this.touched();
  }

  get isSettled() { return this.answered === this.asked && !this.mover.isBusy; }

  undo() {
    this.closeWords();
    if (this.past.back()) this.touched();
  }

  // An answer that is still under way tells of a card that is no more: it is passed over, and the next one drawn.
  touched() {
    this.isChanged = true;
    this.asked++;
    this.mark();
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.check(), PAUSE_MS);
  }

  // Ask the server how it comes out.
  async check() {
    const mine = ++this.asked;
    this.past.remember();
    this.draft.keep();
    let answer, text;
    try {
      answer = await fetch(`${this.base}/check`, { method: "POST", headers: { "HX-Request": "true" }, body: new URLSearchParams(new FormData(this.form)) });
      text = await answer.text();
    } catch { this.told.textContent = this.says.away; return; }
    if (mine !== this.asked) return;
    if (this.mover.isBusy) { this.waiting = setTimeout(() => this.check(), PAUSE_MS); return; }
    const news = document.createElement("template");
    news.innerHTML = text;
    this.answered = mine;
    if (!answer.ok) { this.told.textContent = news.content.textContent.trim().replace(/\s+/g, " "); return; }
    if (news.content.querySelector("[data-stage]")) this.redraw(news.content);
    this.sayFaults(news.content);
    this.checked?.();
    this.checked = null;
  }

  redraw(news) {
    const focused = this.live.contains(document.activeElement) ? document.activeElement.id : "";
    const old = new Map([...this.live.querySelectorAll("image")].map((each) => [each.getAttribute("href"), each]));
    const stage = news.querySelector("[data-stage]");
    for (const image of stage.querySelectorAll("image")) {
      const known = old.get(image.getAttribute("href"));
      if (!known) continue; // one that is there already is not fetched again, so that it never blinks
      for (const name of ["x", "y", "width", "height"]) known.setAttribute(name, image.getAttribute(name));
      old.delete(image.getAttribute("href"));
      image.replaceWith(known);
    }
    this.live.replaceChildren(stage);
    for (const slot of this.form.querySelectorAll("[data-remarks]")) {
      slot.replaceChildren(...[...news.querySelectorAll(`[data-news] [data-of="${slot.dataset.remarks}"]`)]);
    }
    this.dress();
    if (focused) document.getElementById(focused)?.focus();
    this.words?.follow();
  }

  sayFaults(news) {
    for (const each of this.form.querySelectorAll("[data-said-now]")) each.remove();
    for (const each of this.form.querySelectorAll("[data-wrong-now]")) { each.removeAttribute("aria-invalid"); each.removeAttribute("data-wrong-now"); }
    for (const fault of news.querySelectorAll("[data-fault]")) {
      const field = this.form.elements[fault.dataset.fault];
      const note = document.createElement("p");
      note.className = "fault";
      note.lang = "en";
      note.textContent = fault.textContent;
      note.dataset.saidNow = "";
      if (!field?.closest) { this.told.textContent = fault.textContent; continue; }
      field.setAttribute("aria-invalid", "true");
      field.dataset.wrongNow = "";
      (field.closest(".with-unit") ?? field).after(note);
      note.closest("details")?.setAttribute("open", "");
    }
  }

  // Parts that are new.
  fresh(kind) {
    const numbers = [...this.form.querySelectorAll(`[data-fields^="${kind}"]`)].map((each) => Number(each.dataset.fields.slice(1))).filter(Number.isFinite);
    const number = numbers.length ? Math.max(...numbers) + 1 : 0;
    const list = this.form.querySelector(`[data-list="${kind}"]`);
    const made = document.createElement("template");
    made.innerHTML = this.form.querySelector(`[data-template="${kind}"]`).innerHTML.replaceAll(`${kind}NN`, `${kind}${number}`);
    list.append(made.content);
    return (name) => this.form.elements[`${kind}${number}_${name}`];
  }

  addWords(panel) {
    const field = this.fresh("t");
    const key = field("text").name.split("_")[0];
    field("text").value = this.says.new_words;
    field("panel").value = panel;
    field("face").value = "serif";
    field("size").value = "14";
    field("align").value = "centre";
    field("place").value = "middle";
    field("colour").value = "#000000";
    this.checked = () => {
      const part = this.part(key);
      if (!part) return;
      this.turnTo(part.handle.closest("[data-face]").dataset.face);
      this.choose(key);
      this.opened(part, true);
    };
    this.touched();
  }

  addPicture(sha256, name, panel) {
    for (const select of this.form.querySelectorAll("[data-images]")) offer(select, sha256, name);
    offer(this.form.querySelector('[data-template="p"]').content.querySelector("[data-images]"), sha256, name);
    const mine = [...this.form.querySelectorAll('select[name^="p"][name$="_panel"]')].find((each) => each.value === panel && this.form.elements[each.name.replace("panel", "image")].value);
    let field = mine ? (each) => this.form.elements[`${mine.name.split("_")[0]}_${each}`] : this.fresh("p");
    field("image").value = sha256;
    field("panel").value = panel;
    field("lay").value = "fill";
    for (const each of ["x", "y", "w"]) field(each).value = "";
    const key = field("image").name.split("_")[0];
    this.checked = () => {
      const part = this.part(key);
      if (!part) return;
      this.turnTo(part.handle.closest("[data-face]").dataset.face);
      this.choose(key);
      part.handle.focus({ preventScroll: true });
    };
    this.touched();
  }

  offerFont(name) {
    const blank = this.form.querySelector('[data-template="t"]').content.querySelector("[data-faces]");
    for (const select of [...this.form.querySelectorAll("[data-faces]"), blank]) offer(select, name, name);
  }

  // Words are written where they stand.
  opened(part, isNew = false) {
    if (!part.isOnItsOwn) { this.form.elements.credit_text.focus(); return; }
    this.closeWords();
    this.words = new Words(this, part.key, isNew);
  }

  closeWords() {
    const open = this.words;
    this.words = null;
    open?.close();
  }

  dressBar() {
    this.bar.hidden = false;
    this.bar.querySelector("[data-undo]").addEventListener("click", () => this.undo());
    for (const tab of this.bar.querySelectorAll("[data-tab]")) tab.addEventListener("click", () => { this.choose(null); this.turnTo(tab.dataset.tab); });
    this.bar.addEventListener("input", (event) => {
      const part = this.part(this.chosen), name = event.target.dataset.field;
      if (!part || !name) return;
      part.field(name).value = event.target.value;
      this.touched();
    });
    this.bar.addEventListener("click", (event) => {
      const tool = event.target.closest("button");
      const part = this.part(this.chosen);
      if (tool?.dataset.do === "picture") { document.querySelector("form[data-pictures] input[type=file]").click(); return; }
      if (tool?.dataset.do === "words") { this.addWords(this.bar.querySelector("[data-to-panel]").value); return; }
      if (!tool || !part) return;
      if (tool.dataset.value !== undefined) { part.field(tool.dataset.of).value = tool.dataset.value; this.touched(); }
      const acts = {
        larger: () => this.mover.grow(part, 1, 2), smaller: () => this.mover.grow(part, -1, 2), remove: () => this.remove(part),
        edit: () => this.opened(part), turn: () => this.turn(part),
      };
      acts[tool.dataset.do]?.();
    });
  }

  turn(part) {
    part.field("turn").value = String((Number(part.field("turn").value || 0) + 90) % 360);
    if (part.field("lay").value === "placed") part.field("lay").value = "fill";
    this.touched();
  }
}

const form = document.querySelector("form[data-card]");
if (form?.querySelector("[data-workplace]")) {
  const desk = new Desk(form);
  form.desk = desk; // for those who look under the bench
  watchPictures(desk);
  watchFonts(desk);
}
