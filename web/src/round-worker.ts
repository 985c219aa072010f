// Keeps the form on the phone, so that it opens without a signal. The desk puts KEEP and NAME before it: the addresses to
// keep, and a name that changes with them. Records are never kept here; the page keeps its own.

interface Scope {
  addEventListener(type: "install" | "activate", act: (event: { waitUntil(work: Promise<unknown>): void }) => void): void;
  addEventListener(type: "fetch", act: (event: Asked) => void): void;
  skipWaiting(): Promise<void>;
  clients: { claim(): Promise<void> };
}
interface Asked {
  request: Request;
  respondWith(answer: Promise<Response>): void;
}
declare const KEEP: string[];
declare const NAME: string;
const worker = globalThis as unknown as Scope;

worker.addEventListener("install", (event) => {
  const keep = async () => {
    await (await caches.open(NAME)).addAll(KEEP.map((url) => new Request(url, { cache: "reload" })));
    await worker.skipWaiting();
  };
  event.waitUntil(keep());
});

worker.addEventListener("activate", (event) => {
  const clear = async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith("round-") && name !== NAME);
    await Promise.all(old.map((name) => caches.delete(name)));
    await worker.clients.claim();
  };
  event.waitUntil(clear());
});

worker.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !KEEP.includes(url.pathname)) return;
  const answer = async () => (await (await caches.open(NAME)).match(url.pathname)) ?? fetch(event.request);
  event.respondWith(answer());
});
