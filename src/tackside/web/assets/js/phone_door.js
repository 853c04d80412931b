// The door is shut when this page goes; where the browser cannot say so, the page's silence shuts it.

const form = document.querySelector("form[data-door]");
let pressed = false;
form.addEventListener("submit", () => { pressed = true; });
addEventListener("pagehide", () => {
  if (!pressed && !document.querySelector("[data-shut]")) navigator.sendBeacon(form.dataset.door, new URLSearchParams(new FormData(form)));
});
// What is told again every two seconds is put in place, and read out, only where it says something new.
let last = "";
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.target.id !== "door") return;
  const told = event.detail.xhr.responseText.trim();
  if (told === last) event.detail.shouldSwap = false;
  last = told;
});
// Once it is shut there is nothing left to ask for.
document.addEventListener("htmx:afterSwap", () => {
  if (document.querySelector("#door [data-shut]")) document.querySelector(".code").hidden = true;
});
document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.elt.id === "door" && event.detail.elt.querySelector("[data-shut]")) event.preventDefault();
});
