// Pictures dropped on the card: sent, looked at by the workbench, then laid on the panel they were dropped on.

export function watchPictures(desk) {
  const form = document.querySelector("form[data-pictures]");
  const input = form.querySelector('input[type="file"]');
  const drop = form.querySelector("[data-drop]");
  const panel = form.querySelector("select");

  form.addEventListener("submit", (event) => { event.preventDefault(); if (input.files.length) bring(desk, form, input.files[0], panel.value); });
  const chosen = desk.bar.querySelector("[data-to-panel]");
  chosen.addEventListener("change", () => { panel.value = chosen.value; });
  input.addEventListener("change", () => { if (input.files.length) bring(desk, form, input.files[0], panel.value); });
  over(drop, drop, (event) => bring(desk, form, event.dataTransfer.files[0], panel.value));
  over(desk.place, null, (event) => {
    const under = document.elementsFromPoint(event.clientX, event.clientY).find((each) => each.dataset?.panel);
    bring(desk, form, event.dataTransfer.files[0], under?.dataset.panel ?? panel.value);
  });
}

function over(place, marked, act) {
  const light = (event) => {
    if (marked) { marked.classList.add("over"); return; }
    for (const each of place.querySelectorAll(".panel.over")) each.classList.remove("over");
    document.elementsFromPoint(event.clientX, event.clientY).find((each) => each.dataset?.panel)?.classList.add("over");
  };
  const dark = () => { marked?.classList.remove("over"); for (const each of place.querySelectorAll(".panel.over")) each.classList.remove("over"); };
  for (const name of ["dragenter", "dragover"]) place.addEventListener(name, (event) => { event.preventDefault(); light(event); });
  place.addEventListener("dragleave", dark);
  place.addEventListener("drop", (event) => { event.preventDefault(); dark(); if (event.dataTransfer.files.length) act(event); });
}

async function bring(desk, form, file, panel) {
  const data = new FormData();
  data.append("csrf", form.elements.csrf.value);
  data.append("panel", panel);
  data.append("file", file, file.name);
  desk.told.textContent = desk.says.sending.replace("{name}", file.name);
  try {
    const sent = await fetch(form.action, { method: "POST", headers: { "HX-Request": "true" }, body: data });
    if (!sent.ok) { desk.told.textContent = textOf(await sent.text()); return; }
    await follow(desk, `${form.action}/${(await sent.json()).job}`, panel);
  } catch { desk.told.textContent = form.dataset.cut; }
}

async function follow(desk, address, panel) {
  for (;;) {
    const told = await (await fetch(address, { headers: { "HX-Request": "true" } })).json();
    if (told.state === "done") { desk.told.textContent = ""; desk.addPicture(told.sha256, told.name, panel); return; }
    if (!told.is_open) { desk.told.textContent = told.what || desk.says.away; return; }
    desk.told.textContent = desk.says.looking;
    await new Promise((resolve) => { setTimeout(resolve, 350); });
  }
}

function textOf(html) {
  const made = document.createElement("template");
  made.innerHTML = html;
  return made.content.textContent.trim().replace(/\s+/g, " ");
}

// A picture among those to choose from.
export function offer(select, sha256, name) {
  if ([...select.options].some((each) => each.value === sha256)) return;
  const option = document.createElement("option");
  option.value = sha256;
  option.textContent = name;
  select.append(option);
}
