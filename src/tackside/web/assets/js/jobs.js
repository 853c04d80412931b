// A job's box stays where it is while the job is at work: only how far it is is written anew, so that a click that has
// begun ends on the same button, and the keyboard keeps its place. Once the job has ended another box takes its place.

function follow(box, news) {
  const bar = box.querySelector("progress"), share = news.querySelector("progress");
  if (bar.value !== share.value) { bar.value = share.value; bar.textContent = share.textContent; }
  const told = box.querySelector("[role=status]"), said = news.querySelector("[role=status]").textContent;
  if (told.textContent.trim() !== said.trim()) told.textContent = said;
  const stop = box.querySelector("button"), state = news.querySelector("button").getAttribute("aria-disabled");
  if (state) stop.setAttribute("aria-disabled", state);
}

let held = "";
document.addEventListener("htmx:beforeSwap", (event) => {
  const box = event.detail.target;
  if (!box.matches?.(".job")) return;
  const news = new DOMParser().parseFromString(event.detail.xhr.responseText, "text/html").querySelector(".job");
  if (news?.id === box.id) {
    event.detail.shouldSwap = false;
    follow(box, news);
  } else if (box.contains(document.activeElement)) held = box.id;
});
document.addEventListener("htmx:afterSwap", () => {
  if (held) document.getElementById(held)?.focus();
  held = "";
});
document.addEventListener("htmx:confirm", (event) => {
  if (event.target.closest?.(".job") && event.target.querySelector("[aria-disabled=true]") && event.detail.verb === "post") event.preventDefault();
});

// A job that is done leads on to its result, once: a page that is being left asks no more, since an answer that comes while
// the next page opens would load that one anew, with all that was begun on it lost.
let leaves = false;
document.addEventListener("htmx:beforeOnLoad", (event) => { leaves ||= event.detail.xhr.getResponseHeader("HX-Redirect") !== null; });
document.addEventListener("htmx:beforeRequest", (event) => { if (leaves) event.preventDefault(); });
window.addEventListener("pageshow", () => { leaves = false; }); // come back to by the browser's own button
