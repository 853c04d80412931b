// What every page needs: drafts, dropping files, uploads with progress, faults brought into view.

function send(form, onProgress) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.setRequestHeader("HX-Request", "true"); // the answer is a part of a page
    request.upload.addEventListener("progress", (event) => event.lengthComputable && onProgress(event.loaded / event.total));
    request.addEventListener("load", () => resolve({ text: request.responseText, isTaken: request.status < 400 }));
    request.addEventListener("error", () => reject(new Error("cut off")));
    request.send(new FormData(form));
  });
}

function watchUploads(form) {
  const input = form.querySelector('input[type="file"]');
  const list = form.querySelector(".uploads");
  const drop = form.querySelector("[data-drop]");
  const target = document.querySelector(form.dataset.upload);

  function show() {
    list.replaceChildren(...[...input.files].map((file) => {
      const item = document.createElement("li");
      const name = document.createElement("span");
      const size = document.createElement("span");
      name.textContent = file.name;
      size.textContent = (file.size / 1e6).toLocaleString(document.documentElement.lang, {
        style: "unit", unit: "megabyte", minimumFractionDigits: 1, maximumFractionDigits: 1,
      });
      size.className = "soft";
      item.append(name, size);
      return item;
    }));
  }
  input.addEventListener("change", show);
  for (const name of ["dragenter", "dragover"]) drop.addEventListener(name, (event) => { event.preventDefault(); drop.classList.add("over"); });
  for (const name of ["dragleave", "drop"]) drop.addEventListener(name, () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => {
    event.preventDefault();
    const all = new DataTransfer();
    for (const file of [...input.files, ...event.dataTransfer.files]) all.items.add(file);
    input.files = all.files;
    show();
  });
  form.addEventListener("submit", async (event) => {
    if (event.submitter?.hasAttribute("formaction")) return; // a button for something else
    event.preventDefault();
    const button = event.submitter ?? form.querySelector("button.first");
    const bar = document.createElement("progress");
    bar.max = 1;
    bar.setAttribute("aria-label", "upload");
    list.append(bar);
    button.disabled = true;
    try {
      const answer = await send(form, (share) => { bar.value = share; });
      bar.remove();
      if (answer.isTaken) {
        input.value = "";
        list.replaceChildren();
      }
      window.htmx.swap(target, answer.text, { swapStyle: "innerHTML" });
      target.querySelector("#faults")?.focus();
    } catch {
      bar.remove();
      const note = document.createElement("p");
      note.className = "fault";
      note.textContent = form.dataset.cut;
      list.append(note);
    } finally {
      button.disabled = false;
      target.scrollIntoView({ block: "nearest" });
    }
  });
}

// A form that was begun and left is still filled in when one comes back, until it is kept.
function keepDraft(form) {
  const key = `draft:${form.dataset.draft}`;
  const shown = form.querySelector("#faults");
  if (!shown) {
    try {
      for (const [name, value] of Object.entries(JSON.parse(localStorage.getItem(key) || "{}"))) {
        const field = form.elements[name];
        if (field && field.type !== "hidden" && !field.value) field.value = value;
      }
    } catch { localStorage.removeItem(key); }
  }
  form.addEventListener("input", () => {
    const kept = {};
    for (const [name, value] of new FormData(form)) if (name !== "csrf" && typeof value === "string") kept[name] = value;
    localStorage.setItem(key, JSON.stringify(kept));
  });
  form.addEventListener("submit", (event) => { if (!event.submitter?.hasAttribute("formaction")) localStorage.removeItem(key); });
}

for (const form of document.querySelectorAll("form[data-upload]")) watchUploads(form);
for (const form of document.querySelectorAll("form[data-draft]")) if (form.dataset.draft) keepDraft(form);
document.getElementById("faults")?.focus();

// A part of the menu that is open lies over the page; where all of the menu stands there, nothing has to.
matchMedia("(min-width: 58.01rem)").addEventListener("change", () => {
  for (const open of document.querySelectorAll(".entries:popover-open")) open.hidePopover();
});
