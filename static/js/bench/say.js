// The box in which one says what was found: its cards are drawn while the words arrive. Without network the words wait whole.

const QUIET = 250;

export function prepare(panel) {
  const place = panel.querySelector("[data-hear]");
  if (!place) return;
  const form = panel.querySelector("form");
  const box = form.elements.text;
  const words = form.querySelector("[data-take-words]");
  let timer = 0;
  let asked = null;

  const count = () => {
    const chosen = (value) => form.querySelectorAll(`[data-card] input[value="${value}"]:checked`).length;
    const [taken, later] = [chosen("take") + chosen("finding"), chosen("later")];
    const seen = place.querySelector('[name="seen"]');
    if (seen && taken) words.textContent = `Take ${taken}${later ? `, ${later} later` : ""}`;
    else words.textContent = box.value.trim() ? "Keep it for later" : "Take all that is sure";
  };

  async function hear() {
    asked?.abort();
    asked = new AbortController();
    if (!box.value.trim()) { place.replaceChildren(); count(); return; }
    const body = new FormData();
    body.append("text", box.value);
    try {
      const response = await fetch(place.dataset.hear, {
        method: "POST", body, signal: asked.signal, headers: { "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
      });
      if (!response.ok || response.redirected) throw new Error("not answered");
      place.innerHTML = await response.text();
    } catch {
      // cards of other words would be taken for these: without them the words wait whole
      if (!asked.signal.aborted) place.replaceChildren();
    }
    count();
  }

  box.addEventListener("input", () => {
    clearTimeout(timer);
    // what stands there is of other words by now
    place.querySelector('[name="seen"]')?.remove();
    count();
    timer = setTimeout(hear, QUIET);
  });
  form.addEventListener("reset", () => { clearTimeout(timer); asked?.abort(); place.replaceChildren(); setTimeout(count); });
  form.addEventListener("bench:filled", hear);
  count();
  place.addEventListener("change", (event) => {
    // what is changed by hand is meant to be taken
    const card = event.target.closest("[data-card]");
    const take = card?.querySelector('input[value="take"]');
    if (take && event.target.type !== "radio") take.checked = true;
    count();
  });
}
