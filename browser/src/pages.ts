// What every page needs: answers that come while typing, ticks that are never lost, small helps.
import "htmx.org";
import { begin as ticks } from "./ticks";
import { begin as saw } from "./saw";
import { begin as stretch } from "./stretch";
import { begin as clocks } from "./clock";

document.documentElement.classList.add("js");

function copying(): void {
  for (const button of document.querySelectorAll<HTMLButtonElement>("[data-copy]")) {
    button.addEventListener("click", async () => {
      const field = document.getElementById(button.dataset.copy ?? "") as HTMLTextAreaElement | null;
      if (!field) return;
      field.select();
      try {
        await navigator.clipboard.writeText(field.value);
        button.setAttribute("aria-pressed", "true");
      } catch {
        // the text is selected: the person's own copy key does the rest
      }
    });
  }
}

// On a phone the stick is longer than the page: the step in hand is brought into sight, without moving the page.
function step(): void {
  const stick = document.querySelector<HTMLElement>(".stick");
  const here = stick?.querySelector<HTMLElement>("[aria-current]");
  if (stick && here) stick.scrollLeft = here.offsetLeft - (stick.clientWidth - here.offsetWidth) / 2;
}

function begin(): void {
  step();
  copying();
  ticks();
  saw();
  stretch();
  clocks();
  if ("serviceWorker" in navigator) void navigator.serviceWorker.register("/keep.js").catch(() => undefined);
}

if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", begin);
else begin();
