// One picture: taken, looked at small, sent whole once nothing is wrong with it, and followed until its verdict.

const guide = document.getElementById("guide"), { base, csrf } = guide.dataset;
const LONG_PX = 2000, POLL_MS = 1000;
const input = document.getElementById("picture"), image = guide.querySelector(".taken img"), drawing = guide.querySelector(".taken svg");
const send = guide.querySelector("[data-send]"), said = guide.querySelector("[data-said]"), faults = guide.querySelector(".faults");
let file = null, turn = 0, shown = "";

const step = (name) => guide.querySelector(`[data-step="${name}"]`);
function show(...names) {
  for (const each of guide.querySelectorAll("[data-step]")) each.hidden = !names.includes(each.dataset.step);
}
function actions(take, sendable) {
  guide.querySelector("[data-step-actions]").hidden = !take && !sendable;
  guide.querySelector("[data-first]").hidden = Boolean(file);
  guide.querySelector("[data-again]").hidden = !file;
  guide.querySelector("[data-take]").classList.toggle("first", !sendable);
  send.classList.toggle("first", sendable);
  send.hidden = !sendable;
}

async function ask(path, options = {}) {
  const headers = { "X-CSRF-Token": csrf, ...options.headers };
  let answer;
  try { answer = await fetch(`${base}/${path}`, { ...options, headers }); } catch { throw { what: guide.dataset.lost, fix: "" }; }
  let told = null;
  try { told = await answer.json(); } catch { /* no words of ours */ }
  if (!answer.ok) throw told?.what ? told : { what: guide.dataset.lost, fix: "" };
  return told;
}

function drawn(address) {
  return new Promise((resolve, reject) => {
    image.onload = resolve;
    image.onerror = reject;
    image.src = address;
  });
}

// A copy small enough to be looked at within a moment; null where this browser cannot draw the picture.
async function reduced() {
  URL.revokeObjectURL(shown);
  shown = URL.createObjectURL(file);
  try { await drawn(shown); } catch { return null; }
  const { naturalWidth: width, naturalHeight: height } = image, by = Math.min(1, LONG_PX / Math.max(width, height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(width * by);
  canvas.height = Math.round(height * by);
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  const small = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.92));
  return small && { small, width };
}

function place(points, kind) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", "polygon");
  made.setAttribute("points", points.map((each) => each.join(",")).join(" "));
  made.setAttribute("class", kind);
  drawing.append(made);
}

function told(look) {
  drawing.replaceChildren();
  faults.replaceChildren();
  for (const sheet of look.sheets) place(sheet.outline, sheet.new ? "sheet new" : "sheet");
  for (const fault of look.faults) {
    for (const area of fault.areas) { place(area, "under"); place(area, fault.hinders ? "area" : "area minor"); }
    const line = document.createElement("li"), what = document.createElement("strong"), fix = document.createElement("span");
    line.className = fault.hinders ? "hinders" : "minor";
    what.textContent = fault.what;
    fix.textContent = fault.fix;
    line.append(what, " ", fix);
    faults.append(line);
  }
  said.hidden = look.faults.length > 0;
  said.textContent = look.faults.length ? "" : guide.dataset.sound;
  actions(true, look.ready);
}

const LOOKING = said.textContent;
async function look() {
  const mine = ++turn;
  show("look");
  actions(false, false);
  faults.replaceChildren();
  drawing.replaceChildren();
  said.hidden = false;
  said.textContent = LOOKING;
  const small = await reduced();
  if (!small) {
    image.removeAttribute("src");
    said.textContent = guide.dataset.noPicture;
  }
  step("look").focus({ preventScroll: true });
  scrollTo(0, 0);
  try {
    const found = await ask("look", {
      method: "POST",
      body: small ? small.small : file,
      headers: { "X-Name": encodeURIComponent(file.name), ...(small ? { "X-Full-Width": String(small.width) } : { "X-Needs-Preview": "1" }) },
    });
    if (mine !== turn) return;
    if (found.preview) await drawn(`${base}/preview.jpg?n=${mine}`).catch(() => {});
    told(found);
  } catch (fault) {
    if (mine === turn) told({ ready: false, sheets: [], faults: [{ ...fault, hinders: true, areas: [] }] });
  }
}

function ended(state) {
  if (state.state === "failed") {
    step("failed").querySelector("[data-what]").textContent = state.what;
    step("failed").querySelector("[data-fix]").textContent = state.fix;
    show("failed");
    actions(true, false);
    return;
  }
  const done = step("done");
  done.querySelector("[data-word]").textContent = state.word;
  done.querySelector("[data-lines]").replaceChildren(...state.lines.map((each) => {
    const line = document.createElement("li");
    line.textContent = each;
    return line;
  }));
  done.querySelector("[data-limits]").textContent = state.limits;
  show("done");
  done.focus();
}

async function follow(state) {
  show("read");
  actions(false, false);
  const bar = step("read").querySelector("progress"), doing = step("read").querySelector("[data-doing]");
  for (let lost = 0; ;) {
    if (state?.state === "done" || state?.state === "failed") { ended(state); return; }
    if (state?.state === "reading") { bar.value = state.share; if (doing.textContent !== state.doing) doing.textContent = state.doing; }
    await new Promise((resolve) => { setTimeout(resolve, POLL_MS); });
    try { state = await ask("state"); lost = 0; } catch (fault) { if (++lost >= 5) { ended({ state: "failed", ...fault }); return; } }
  }
}

input.addEventListener("change", () => {
  if (!input.files.length) return;
  [file] = input.files;
  input.value = "";
  look();
});
send.addEventListener("click", async () => {
  turn += 1;
  show("read");
  actions(false, false);
  step("read").focus({ preventScroll: true });
  try {
    follow(await ask("send", { method: "POST", body: file, headers: { "X-Name": encodeURIComponent(file.name) } }));
  } catch (fault) { ended({ state: "failed", ...fault }); }
});

// A page that was shut on the way and opened again goes on where it was.
ask("state").then((state) => { if (state.state === "reading" || state.state === "done") follow(state); }, () => {});
