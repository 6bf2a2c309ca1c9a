// Opens the bench pages of the jobs on the bench without network. Always asks the network first; keeps what came.

const CACHE = `bench-${VERSION}`;
const PATIENCE = 6_000;

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => names.filter((name) => name.startsWith("bench-") && name !== CACHE));
  event.waitUntil(old.then((names) => Promise.all(names.map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(keepAll(event.data.keep));
});

async function keepAll(addresses) {
  const cache = await caches.open(CACHE);
  for (const address of addresses) {
    try {
      await keep(cache, new URL(address, self.location.href).href, await fetch(address, { credentials: "same-origin" }));
    } catch {
      return;
    }
  }
}

// A page to sign in, or a mistake, is no bench page.
async function keep(cache, address, response) {
  if (response.ok && !response.redirected) await cache.put(address.split("?")[0].split("#")[0], response);
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
    return (await cache.match(request, { ignoreSearch: true, ignoreVary: true })) ?? (opens ? notKept() : Response.error());
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
