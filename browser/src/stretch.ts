// Stretching: the run in hand large, and the whole order played run by run.
import { batch, say, waitingFor } from "./ticks";

interface Told {
  level: number;
  upright: number;
  taut?: number;
  drawn_in: [number, number, number, number];
  staple: number;
  map?: number[][];
}

interface Rehearsed {
  runs: (Told & { number: number })[];
  end?: Told;
  faults: string[];
}

const SVG = "http://www.w3.org/2000/svg";

// The canvas as it stands: tiles of tension with their numbers, bars bent too large; seen from the back.
function paint(root: HTMLElement, told: Told, most: number, top: number): void {
  const svg = root.querySelector("svg");
  const tiles = root.querySelector("[data-tiles]");
  const bars = root.querySelector("[data-bars]");
  const face = svg?.querySelector("rect");
  if (!tiles || !bars || !face) return;
  const [w, h] = [Number(face.getAttribute("width")), Number(face.getAttribute("height"))];
  tiles.replaceChildren();
  const rows = told.map ?? [];
  rows.forEach((row, r) =>
    row.forEach((value, c) => {
      const [tw, th] = [w / row.length, h / rows.length];
      const x = w - (c + 1) * tw;
      const y = h - (r + 1) * th;
      const share = Math.min(value / Math.max(top, 1), 1);
      const tile = document.createElementNS(SVG, "rect");
      for (const [name, at] of [["x", x], ["y", y], ["width", tw], ["height", th]] as const) tile.setAttribute(name, String(at));
      tile.setAttribute("fill", "#16505a");
      tile.setAttribute("fill-opacity", String(0.08 + 0.72 * share));
      tiles.append(tile);
      if (row.length * rows.length > 120) return;
      const text = document.createElementNS(SVG, "text");
      text.setAttribute("x", String(x + tw / 2));
      text.setAttribute("y", String(y + th / 2));
      text.setAttribute("font-size", String(Math.min(tw, th) * 0.3));
      text.setAttribute("text-anchor", "middle");
      text.setAttribute("dominant-baseline", "central");
      text.setAttribute("fill", share > 0.5 ? "#fff" : "#000");
      text.textContent = String(value);
      tiles.append(text);
    }),
  );
  const times = (0.05 * Math.min(w, h)) / Math.max(most, 1e-6);
  const [bottom, right, upper, left] = told.drawn_in.map((value) => 2 * value * times) as [number, number, number, number];
  const shapes = [
    `M0 ${h}Q${w / 2} ${h - bottom} ${w} ${h}`,
    `M0 0Q${w / 2} ${upper} ${w} 0`,
    `M${w} 0Q${w - left} ${h / 2} ${w} ${h}`,
    `M0 0Q${right} ${h / 2} 0 ${h}`,
  ];
  bars.replaceChildren(
    ...shapes.map((shape) => {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("d", shape);
      return path;
    }),
  );
}

function filled(words: string, values: Record<string, unknown>): string {
  return words.replace(/\{(\w+)\}/g, (_, name: string) => String(values[name] ?? ""));
}

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

  let rehearsed: Rehearsed | null = null;
  const wish = root.querySelector<HTMLFormElement>("[data-rehearse]");
  const status = wish?.querySelector<HTMLElement>(".rehearsed");

  function tell(): void {
    if (!rehearsed || !wish || !status) return;
    const told = rehearsed.runs.find((run) => run.number === now + 1);
    if (!told) {
      status.textContent = rehearsed.faults.join(" ");
      return;
    }
    const most = Math.max(...rehearsed.runs.flatMap((run) => run.drawn_in), 1e-6);
    const top = Math.max(...rehearsed.runs.flatMap((run) => run.map?.flat() ?? [0]));
    paint(root!, told, most, top);
    const face = root!.querySelector("svg rect");
    const times = Math.round((0.05 * Math.min(Number(face?.getAttribute("width")), Number(face?.getAttribute("height")))) / most);
    const lines = [filled(wish.dataset.words ?? "", { ...told, taut: Math.round(100 * (told.taut ?? 0)) })];
    if (now === cards.length - 1 && rehearsed.end) lines.push(filled(wish.dataset.end ?? "", { ...rehearsed.end }));
    lines.push(filled(wish.dataset.bars ?? "", { most: Math.max(...told.drawn_in).toFixed(2), times }));
    status.textContent = lines.join(" ");
  }

  async function fetched(): Promise<boolean> {
    const answer = await fetch(wish?.dataset.from ?? "");
    if (answer.status !== 200) return false;
    rehearsed = (await answer.json()) as Rehearsed;
    wish?.querySelector("button")?.remove();
    tell();
    return true;
  }

  wish?.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = new URLSearchParams(new FormData(wish) as unknown as Record<string, string>);
    if (status) status.textContent = wish.dataset.doing ?? "";
    await fetch(wish.action, { method: "POST", body });
    const wait = setInterval(async () => {
      if (await fetched()) clearInterval(wait);
    }, 1000);
  });
  void fetched().catch(() => undefined);

  function show(): void {
    tell();
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
