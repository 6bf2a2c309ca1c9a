// Pages that open without network: only where the page is secure (https, or this very machine). Elsewhere it is said.

export async function begin() {
  const script = document.getElementById("outbox")?.dataset.worker;
  if (!script) return;
  if (!window.isSecureContext || !("serviceWorker" in navigator)) {
    for (const words of document.querySelectorAll("[data-plain-http]")) words.hidden = false;
    return;
  }
  try {
    await navigator.serviceWorker.register(script, { scope: document.getElementById("outbox").dataset.tags });
    const worker = await navigator.serviceWorker.register(script, { scope: script.replace("worker.js", "") });
    const answer = await fetch(script.replace("worker.js", "pages/"));
    if (!answer.ok || answer.redirected) return;
    const { pages, settled } = await answer.json();
    const assets = performance.getEntriesByType("resource").map((one) => one.name)
      .filter((name) => name.startsWith(`${location.origin}/static/`));
    const ready = worker.active ?? (await navigator.serviceWorker.ready).active;
    ready.postMessage({ keep: [...new Set([...assets, location.pathname, ...pages])], settled });
  } catch {
    // no worker: the open page still keeps what is noted
  }
}
