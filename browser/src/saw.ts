// At the saw: one card at a time. What was said is kept on this machine first, so that a reload, a sleeping screen or
// a lost line changes nothing.
import { batch, say, waitingFor } from "./ticks";

export function begin(): void {
  const root = document.querySelector<HTMLElement>("[data-cuts]");
  if (!root) return;
  const cards = [...root.querySelectorAll<HTMLElement>("article.cut[data-key]")];
  const end = root.querySelector<HTMLElement>("[data-end]");
  const rest = document.querySelector<HTMLElement>("[data-rest]");
  const words = root.querySelector<HTMLElement>("[data-progress]");
  const bar = root.querySelector("progress");
  const place = `longpoint-saw-${location.pathname}`;
  const told = words?.textContent ?? "";
  const held = waitingFor(batch(), "cut");
  for (const card of cards) {
    const state = held.get(card.dataset.key ?? "");
    if (state !== undefined) card.dataset.state = state;
  }

  const count = () => cards.filter((card) => card.dataset.state).length;
  const firstLeft = () => {
    const at = cards.findIndex((card) => !card.dataset.state);
    return at < 0 ? cards.length : at;
  };
  let now = firstLeft();
  const kept = sessionStorage.getItem(place);
  if (kept !== null && Number(kept) < now) now = Number(kept);
  if (new URLSearchParams(location.search).has("at")) now = Number(root.dataset.now ?? now);

  function show(): void {
    cards.forEach((card, number) => (card.hidden = number !== now));
    if (end) end.hidden = now < cards.length;
    if (words) words.textContent = told.replace(/\d+/, String(count()));
    if (bar) bar.value = count();
    if (rest) rest.hidden = !cards.some((card) => card.dataset.state === "spoiled" || card.dataset.state === "split");
    sessionStorage.setItem(place, String(now));
  }

  root.addEventListener("submit", (event) => {
    const form = event.target as HTMLFormElement;
    if (!form.matches("[data-cut-form]")) return;
    event.preventDefault();
    const card = form.closest<HTMLElement>("article.cut");
    const state = (form.elements.namedItem("state") as HTMLInputElement).value;
    if (!card) return;
    card.dataset.state = state;
    card.classList.remove("done", "spoiled", "split");
    if (state) card.classList.add(state);
    say("cut", card.dataset.key ?? "", state);
    if (state) now = Math.min(now + 1, cards.length);
    show();
    if (state) cards[now]?.querySelector<HTMLButtonElement>("button.main")?.focus({ preventScroll: true });
  });
  root.addEventListener("click", (event) => {
    if ((event.target as Element).closest("[data-back]") && now > 0) {
      now -= 1;
      show();
    }
  });
  show();
}
