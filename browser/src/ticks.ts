// Ticks: shown at once, kept on this machine until the server has them, sent with a name so that none counts twice.

export interface Tick {
  id: string;
  kind: string;
  key: string;
  state: string;
  at: number;
}

// As it waits on this machine: who said it is not sent along, the server knows who is signed in.
interface Waiting extends Tick {
  who: string;
}

const KEPT = "longpoint-ticks";
const SENT = "longpoint-ticks-sent";
const LATE = 20; // seconds that a page may have been on its way while a tick overtook it

function read(name: string): Record<string, Waiting[]> {
  try {
    return JSON.parse(localStorage.getItem(name) ?? "{}") as Record<string, Waiting[]>;
  } catch {
    return {};
  }
}

const waiting = () => read(KEPT);
const justSent = (ident: string) => (read(SENT)[ident] ?? []).filter((tick) => tick.at > Date.now() / 1000 - LATE);

export function batch(): string {
  return /^\/b\/([0-9a-f]{12})/.exec(location.pathname)?.[1] ?? "";
}

export function waitingFor(ident: string, kind: string): Map<string, string> {
  const found = new Map<string, string>();
  for (const tick of [...justSent(ident), ...(waiting()[ident] ?? [])]) if (tick.kind === kind) found.set(tick.key, tick.state);
  return found;
}

export function say(kind: string, key: string, state: string): void {
  const all = waiting();
  const own = (all[batch()] ??= []);
  own.push({ id: fresh(), kind, key, state, at: Date.now() / 1000, who: who() });
  localStorage.setItem(KEPT, JSON.stringify(all));
  void send();
}

// Not crypto.randomUUID: over a line that is not encrypted a browser does not have it.
function fresh(): string {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function who(): string {
  return document.body.dataset.who ?? "";
}

let sending = false;

export async function send(): Promise<void> {
  if (sending) return;
  sending = true;
  try {
    for (const [ident, ticks] of Object.entries(waiting())) {
      // what somebody else said on this machine waits until they are signed in again: it is theirs
      const some = ticks.filter((tick) => (tick.who ?? "") === who()).slice(0, 400);
      if (some.length === 0) continue;
      const answer = await fetch(`/api/batches/${ident}/ticks`, {
        method: "POST",
        headers: { "content-type": "application/json", "x-longpoint-key": await freshKey() },
        body: JSON.stringify({ ticks: some.map(({ who: _, ...tick }) => tick) }),
      });
      if (!answer.ok && answer.status !== 404 && answer.status !== 422) break;
      localStorage.setItem(SENT, JSON.stringify({ [ident]: [...justSent(ident), ...some] }));
      const sent = new Set(some.map((tick) => tick.id));
      const all = waiting();
      all[ident] = (all[ident] ?? []).filter((tick) => !sent.has(tick.id));
      if (all[ident].length === 0) delete all[ident];
      localStorage.setItem(KEPT, JSON.stringify(all));
    }
  } catch {
    // no line: they wait
  } finally {
    sending = false;
    shown();
  }
}

async function freshKey(): Promise<string> {
  const answer = await fetch("/api/key");
  return ((await answer.json()) as { key: string }).key;
}

function shown(): void {
  const count = Object.values(waiting()).reduce((sum, ticks) => sum + ticks.length, 0);
  for (const note of document.querySelectorAll<HTMLElement>("[data-waiting]")) {
    note.hidden = count === 0;
    const number = note.querySelector("b");
    if (number) number.textContent = String(count);
  }
}

export function begin(): void {
  if (!batch()) return;
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-tick]")) {
    const value = (name: string) => (form.elements.namedItem(name) as HTMLInputElement).value;
    const state = form.elements.namedItem("state") as HTMLInputElement;
    const button = form.querySelector("button");
    const show = (is: boolean) => {
      button?.setAttribute("aria-pressed", String(is));
      form.closest("tr, li")?.classList.toggle("done", is);
      state.value = is ? "" : "done";
    };
    const held = waitingFor(batch(), value("kind")).get(value("what"));
    if (held !== undefined) show(held !== "");
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const next = state.value;
      show(next !== "");
      say(value("kind"), value("what"), next);
    });
  }
  addEventListener("online", () => void send());
  document.addEventListener("visibilitychange", () => document.hidden || void send());
  setInterval(() => void send(), 15000);
  void send();
}
