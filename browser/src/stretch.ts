// Stretching: the run in hand large, and the whole order played run by run.
import { batch, say, waitingFor } from "./ticks";

export function begin(): void {
  const root = document.querySelector<HTMLElement>("[data-runs]");
  if (!root) return;
  const cards = [...root.querySelectorAll<HTMLElement>(".run-card")];
  const spots = [...root.querySelectorAll<SVGGElement>("g.run")];
  const held = waitingFor(batch(), "run");
  for (const card of cards) {
    const state = held.get(card.dataset.what ?? "");
    if (state !== undefined) card.dataset.state = state;
  }
  const first = cards.findIndex((card) => !card.dataset.state);
  let now = first < 0 ? cards.length - 1 : first;
  let timer = 0;

  function show(): void {
    cards.forEach((card, number) => card.classList.toggle("now", number === now));
    spots.forEach((spot, number) => {
      spot.classList.toggle("now", number === now);
      spot.classList.toggle("done", timer ? number < now : Boolean(cards[number]?.dataset.state));
    });
  }

  root.querySelector("[data-back]")?.addEventListener("click", () => {
    now = Math.max(0, now - 1);
    show();
  });
  root.querySelector("[data-next]")?.addEventListener("click", () => {
    const card = cards[now];
    if (!card) return;
    card.dataset.state = "done";
    say("run", card.dataset.what ?? "", "done");
    now = Math.min(cards.length - 1, now + 1);
    show();
  });
  const play = root.querySelector<HTMLButtonElement>("[data-play]");
  play?.addEventListener("click", () => {
    if (timer) {
      clearInterval(timer);
      timer = 0;
    } else {
      now = 0;
      const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
      timer = setInterval(() => {
        if (now < cards.length - 1) now += 1;
        else play.click();
        show();
      }, still ? 2500 : 900);
    }
    play.setAttribute("aria-pressed", String(Boolean(timer)));
    show();
  });
  show();
}
