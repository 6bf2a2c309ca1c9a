// A calculator without network: what is typed goes to the outbox, and is worked out and noted once the shop answers.

import * as outbox from "./outbox.js";
import { newId } from "./store.js";

const form = document.querySelector("form[data-sum]");

// The page that was kept knows of no job; its address does.
const job = () => form.elements.job?.value || new URLSearchParams(location.search).get("job")?.toUpperCase() || "";

function offer() {
  const drawn = form.querySelector(`template[data-part="${job() ? "unreached" : "unreached-alone"}"]`).content.cloneNode(true);
  for (const place of drawn.querySelectorAll("[data-job]")) place.textContent = job();
  document.getElementById("answer").replaceChildren(drawn);
}

async function keep() {
  const fields = [...new FormData(form)].filter(([name, value]) => name !== "job" && typeof value === "string");
  const address = form.dataset.sum.replace("JOB", encodeURIComponent(job()));
  const entry = await outbox.write({ id: newId(), address, panel: "", title: form.dataset.title, fields, job: job() });
  const said = form.querySelector('template[data-part="kept"]').content.cloneNode(true);
  for (const place of said.querySelectorAll("[data-job]")) place.textContent = job();
  document.getElementById("answer").replaceChildren(said);
  await outbox.flush(entry);
}

export function begin() {
  if (!form) return;
  form.addEventListener("htmx:sendError", offer);
  form.addEventListener("submit", (event) => {
    if (navigator.onLine) return;
    event.preventDefault();
    offer();
  });
  document.getElementById("answer").addEventListener("click", (event) => {
    if (event.target.closest("[data-keep]")) keep();
  });
}
