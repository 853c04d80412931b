// A run that was begun and left is offered again, with all its rows, until it is kept: the server lays it out anew.

const KEY = "draft:run";
const form = document.getElementById("plan");
const offer = document.querySelector("[data-draft-offer]");

function keep() {
  const typed = [...new FormData(form)].filter(([name, value]) => !["csrf", "do"].includes(name) && typeof value === "string");
  localStorage.setItem(KEY, JSON.stringify(typed));
}

function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEY) || "[]");
  } catch {
    localStorage.removeItem(KEY);
    return [];
  }
}

function show() {
  const typed = kept();
  if (!typed.length) return;
  for (const [name, value] of typed) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    offer.querySelector("form").append(field);
  }
  offer.hidden = false;
  offer.querySelector("[data-leave]").addEventListener("click", () => {
    localStorage.removeItem(KEY);
    offer.hidden = true;
  });
}

if (offer) show();
else keep(); // laid out from what was typed
form.addEventListener("input", keep);
for (const each of document.querySelectorAll("form[method=post]")) {
  each.addEventListener("submit", (event) => {
    if (event.submitter?.value === "keep" || "keepsRun" in each.dataset) localStorage.removeItem(KEY);
  });
}
