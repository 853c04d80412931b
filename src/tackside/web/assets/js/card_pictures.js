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
  const say = (words) => { desk.told.textContent = words; };
  say(desk.says.sending.replace("{name}", () => file.name));
  const told = await looked(form, data, say, desk.says.looking, desk.says.away);
  if (told) { say(""); desk.addPicture(told.sha256, told.name, panel); }
}

// Send a file and wait until the workbench has looked at it: what it says of it, or nothing where that was told.
export async function looked(form, data, say, looking, away) {
  try {
    const sent = await fetch(form.action, { method: "POST", headers: { "HX-Request": "true" }, body: data });
    if (!sent.ok) { say(textOf(await sent.text())); return null; }
    const address = `${form.action}/${(await sent.json()).job}`;
    for (;;) {
      const told = await (await fetch(address, { headers: { "HX-Request": "true" } })).json();
      if (told.state === "done") return told;
      if (!told.is_open) { say(told.what || away); return null; }
      say(looking);
      await new Promise((resolve) => { setTimeout(resolve, 350); });
    }
  } catch { say(form.dataset.cut); return null; }
}

function textOf(html) {
  const made = document.createElement("template");
  made.innerHTML = html;
  return made.content.textContent.trim().replace(/\s+/g, " ");
}

// A picture or font among those to choose from.
export function offer(select, value, name) {
  if ([...select.options].some((each) => each.value === value)) return;
  const option = document.createElement("option");
  option.value = value;
  option.textContent = name;
  select.append(option);
}
