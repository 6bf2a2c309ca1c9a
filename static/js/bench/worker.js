// Opens the bench pages of the jobs on the bench without network. Always asks the network first; keeps what came.

const CACHE = `bench-${VERSION}`;
const PATIENCE = 6_000;
const KEPT = "x-kept-at";
const A_WHILE = 3_600_000;

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => names.filter((name) => name.startsWith("bench-") && name !== CACHE));
  event.waitUntil(
    old.then((names) => Promise.all(names.map((name) => caches.delete(name)))).then(sweep).then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(keepAll(event.data.keep, event.data.settled ?? []));
});

// `settled` are pages that hardly change: fetched only where they are not kept already.
async function keepAll(addresses, settled) {
  await sweep();
  const cache = await caches.open(CACHE);
  const there = new Set((await cache.keys()).map((request) => new URL(request.url).pathname));
  for (const address of [...addresses, ...settled.filter((one) => !there.has(one))]) {
    try {
      await keep(cache, new URL(address, self.location.href).href, await fetch(address, { credentials: "same-origin" }));
    } catch {
      return;
    }
  }
}

// A page to sign in, or a mistake, is no bench page. Where the shop asks to sign in, nothing of it stays here.
async function keep(cache, address, response) {
  if (response.redirected && new URL(response.url).pathname.startsWith(SIGN_IN)) {
    await forget();
  } else if (response.ok && !response.redirected) {
    const headers = new Headers(response.headers);
    headers.set(KEPT, String(Date.now()));
    const { status, statusText } = response;
    await cache.put(address.split("?")[0].split("#")[0], new Response(await response.blob(), { status, statusText, headers }));
  }
}

async function forget() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith("bench-")).map((name) => caches.delete(name)));
}

// Kept for as many hours as the shop says, whoever is signed in; a clock that was put back makes nothing younger.
function isOver(response) {
  const age = Date.now() - Number(response.headers.get(KEPT) ?? 0);
  return age > KEPT_HOURS * 3_600_000 || age < -A_WHILE;
}

async function sweep() {
  const cache = await caches.open(CACHE);
  for (const request of await cache.keys()) {
    const response = await cache.match(request, { ignoreVary: true });
    if (!response || isOver(response)) await cache.delete(request, { ignoreVary: true });
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  const opens = request.mode === "navigate";
  if (opens && pathname.startsWith(TAGS)) event.respondWith(tag(request, pathname));
  else if ((opens && pathname.startsWith(BENCH)) || pathname.startsWith("/static/") || pathname.endsWith("/thumbnail/") || pathname.endsWith("/aside/")) {
    event.respondWith(fromNetworkOrKept(event, request, opens));
  }
});

async function fromNetworkOrKept(event, request, opens) {
  const cache = await caches.open(CACHE);
  try {
    const response = await fetch(request, opens ? patience() : {});
    event.waitUntil(keep(cache, request.url, response.clone()));
    return response;
  } catch {
    const kept = await cache.match(request, { ignoreSearch: true, ignoreVary: true });
    if (kept && !isOver(kept)) return kept;
    if (kept) event.waitUntil(sweep());
    return opens ? notKept() : Response.error();
  }
}

// A tag's code leads on to the bench page; without network straight away, for the job that the code names.
async function tag(request, pathname) {
  try {
    return await fetch(request, patience());
  } catch {
    return Response.redirect(`${BENCH}${pathname.slice(TAGS.length).toUpperCase()}/`, 302);
  }
}

function patience() {
  return AbortSignal.timeout ? { signal: AbortSignal.timeout(PATIENCE) } : {};
}

function notKept() {
  return new Response(NOT_KEPT, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
