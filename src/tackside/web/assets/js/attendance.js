// A workbench that was started without a terminal ends some time after its last page was closed: each page says that it is
// here, and that it goes. Timers of a page that nobody looks at run once a minute at most, or not at all.

const name = Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(36).padStart(2, "0")).join("");
// The button that closes the workbench stands on every page, with the token that the server asks for.
const token = () => new URLSearchParams({ csrf: document.querySelector('form[action="/close"]').elements.csrf.value });
const here = () => { fetch(`/here?name=${name}`, { method: "POST", keepalive: true, body: token() }).catch(() => {}); };

here();
setInterval(here, 60_000);
window.addEventListener("pageshow", (event) => { if (event.persisted) here(); }); // come back to by the browser's own button
window.addEventListener("pagehide", () => navigator.sendBeacon(`/gone?name=${name}`, token()));
