// Beginning a card: the format counts only where no stock is chosen; a picture may be dropped anywhere on its field.
const stock = document.getElementById("stock");
const formats = document.querySelector("[data-formats]");
const show = () => { formats.hidden = stock.value !== ""; };
stock.addEventListener("change", show);
show();

for (const drop of document.querySelectorAll("[data-drop-on]")) {
  const input = document.getElementById(drop.dataset.dropOn);
  for (const name of ["dragenter", "dragover"]) drop.addEventListener(name, (event) => { event.preventDefault(); drop.classList.add("over"); });
  for (const name of ["dragleave", "drop"]) drop.addEventListener(name, () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => { event.preventDefault(); if (event.dataTransfer.files.length) input.files = event.dataTransfer.files; });
}
