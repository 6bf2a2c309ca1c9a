// What the handbook says while one is still typing. Without network nothing is said; on saving it is judged anyway.

const QUIET = 150;

function asker(form, place) {
  let timer = 0;
  let asked = null;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      asked?.abort();
      asked = new AbortController();
      const wanted = new URLSearchParams();
      for (const [name, value] of new FormData(form)) {
        if (typeof value === "string" && value && name !== "csrfmiddlewaretoken") wanted.append(name, value);
      }
      try {
        const response = await fetch(`${place.dataset.judge ?? place.dataset.offers}?${wanted}`, { signal: asked.signal });
        if (!response.ok || response.redirected) return;
        const html = await response.text();
        (place.querySelector("[data-offer-list]") ?? place).innerHTML = html;
      } catch {
        if (!asked.signal.aborted && place.dataset.judge) place.replaceChildren();
      }
    }, QUIET);
  };
}

export function prepare(panel) {
  const form = panel.querySelector("form");
  for (const place of panel.querySelectorAll("[data-judge], [data-offers]")) {
    const ask = asker(form, place);
    const heard = place.dataset.offers ? ["drawer"] : null;
    const listen = (event) => {
      if (heard ? heard.includes(event.target.name) : event.target.name !== "chosen") ask();
    };
    form.addEventListener("input", listen);
    if (!heard) form.addEventListener("change", listen);
  }
}
