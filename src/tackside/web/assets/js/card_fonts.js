// Fonts brought to the card: looked at by the workbench, then offered wherever letters are chosen.
import { looked, offer } from "./card_pictures.js";

export function watchFonts(desk) {
  const form = document.querySelector("form[data-fonts]");
  const told = form.querySelector("[data-font-told]");
  const say = (words) => { told.textContent = words; };
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const found = await looked(form, new FormData(form), say, form.dataset.says, desk.says.away);
    if (!found?.fonts.length) return;
    for (const name of found.fonts) desk.offerFont(name);
    say(form.dataset.there.replace("{font}", () => found.fonts.join(", ")));
    form.reset();
  });
}
