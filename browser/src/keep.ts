// Keeps pages that were looked at, so that they open when the line is gone; what is fresh always comes first.
export {};
declare const self: ServiceWorkerGlobalScope & typeof globalThis;
interface ServiceWorkerGlobalScope {
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void> };
}

const STORE = "longpoint-1";
const WAIT = 10000; // a server that thinks is not a line that is gone; at the saw nobody waits longer

addEventListener("install", () => void self.skipWaiting());
addEventListener("activate", (event) => (event as unknown as { waitUntil(p: Promise<unknown>): void }).waitUntil(self.clients.claim()));

addEventListener("fetch", (event) => {
  const asked = event as unknown as {
    request: Request;
    respondWith(answer: Promise<Response>): void;
    waitUntil(done: Promise<unknown>): void;
  };
  const { request } = asked;
  const path = new URL(request.url).pathname;
  // what was looked at is kept for when the line is gone, not for whoever signs in next
  if (request.method === "POST" && path === "/sign-out") asked.waitUntil(caches.delete(STORE));
  if (request.method !== "GET" || request.headers.has("hx-request")) return;
  if (path.startsWith("/api/") || path.includes("/take/") || path.includes("/doing") || path.includes("/answer/")) return;
  asked.respondWith(fresh(request));
});

async function fresh(request: Request): Promise<Response> {
  const store = await caches.open(STORE);
  const kept = await store.match(request, { ignoreVary: true });
  try {
    const answer = await (kept && new URL(request.url).pathname.endsWith("/saw") ? within(fetch(request)) : fetch(request));
    if (answer.ok && !answer.redirected) await store.put(request, answer.clone());
    return answer;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

function within(answer: Promise<Response>): Promise<Response> {
  return Promise.race([
    answer,
    new Promise<Response>((_, fail) => setTimeout(() => fail(new Error("slow")), WAIT)),
  ]);
}
