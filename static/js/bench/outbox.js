// The outbox: whatever is noted is written to this device first and sent from there, oldest first, until the shop's
// computer has taken it. Each entry carries its own id, and the server takes an id once; so sending twice is harmless.

import * as store from "./store.js";
import { shrink } from "./photos.js";

const ENTRY = "X-Bench-Entry";
const PATIENCE = 20_000;
const TRIES = 3;
const A_WHILE = 5_000;

const box = document.getElementById("outbox");
const here = { staff: Number(box?.dataset.staff), job: box?.dataset.job ?? "" };
const others = "BroadcastChannel" in window ? new BroadcastChannel("mendwright-bench") : null;
const listeners = { taken: [], kept: [], refused: [], changed: [] };

export const on = (what, listener) => listeners[what].push(listener);
const tell = (what, ...facts) => listeners[what].map((listener) => listener(...facts)).some(Boolean);

// --- taking a form in ---------------------------------------------------------------------------------

export async function keep(form, submitter) {
  const data = new FormData(form, submitter ?? undefined);
  const [fields, files] = [[], []];
  for (const [name, value] of data) {
    if (value instanceof File) {
      if (value.size) files.push({ name, file: value.name, blob: await shrink(value) });
    } else if (!["csrfmiddlewaretoken", "noted", "once"].includes(name)) {
      fields.push([name, value]);
    }
  }
  const address = form.getAttribute("action") || location.pathname;
  const entry = await write({
    id: data.get("once") || store.newId(), address, panel: form.dataset.panel ?? "", title: form.dataset.outbox, fields, files,
  });
  if (form.dataset.mends) await store.drop(Number(form.dataset.mends));
  delete form.dataset.mends;
  return entry;
}

// Writes one note to this device; what it is sent as is told by who writes it.
export async function write({ id, address, panel, title, fields, files = [], job = here.job }) {
  const entry = {
    id, staff: here.staff, job, address, panel, title, fields, files, made: Date.now(), state: "waiting", tries: 0, why: "",
  };
  entry.what = inWords(entry);
  entry.order = await store.put(entry);
  await changed();
  return entry;
}

export async function drop(order) {
  await store.drop(order);
  await changed();
}

function inWords(entry) {
  const of = (name) => entry.fields.find(([field, value]) => field === name && value)?.[1] ?? "";
  const words = ["where", "channel", "typed", "what", "text", "marking", "drawer", "failed", "temperature", "caption", "reason"].map(of);
  const files = entry.files.length ? [`${entry.files.length} picture${entry.files.length > 1 ? "s" : ""}`] : [];
  return [...words.filter(Boolean), ...files].join(" ").slice(0, 80);
}

// --- sending ----------------------------------------------------------------------------------------------

let sending = null;
// Entries whose form is in front of the person: one that was handed in while another was being sent is sent in that turn.
const inSight = new Set();

// Sends what waits. `first` is the entry whose form is in front of the person: its answer is shown in place.
export function flush(first = null) {
  if (first) inSight.add(first.order);
  const before = sending ?? Promise.resolve();
  const run = before.then(() => withLock(() => sendAll(first))).finally(() => inSight.delete(first?.order));
  sending = run.catch(() => {});
  return run;
}

function withLock(work) {
  return navigator.locks ? navigator.locks.request("mendwright-bench", work) : work();
}

async function sendAll(first) {
  let tookAny = false;
  let ahead = null;
  for (;;) {
    const waiting = (await store.all()).filter((entry) => entry.state === "waiting" && entry.staff === here.staff);
    if (!waiting.length) break;
    const entry = waiting[0];
    // Notes that lay here for a while get their moment by the shop's clock, asked once for all of them.
    if (ahead === null && Date.now() - entry.made > A_WHILE) ahead = await clockAhead();
    const answer = ahead === undefined ? { kind: "unreached", why: "" } : await send(entry, ahead);
    const inFront = inSight.has(entry.order);
    if (answer.kind === "unreached") {
      if (first) tell("kept", first, answer);
      break;
    }
    if (answer.kind === "taken") {
      await store.drop(entry.order);
      tookAny = true;
      tell("taken", entry, answer, inFront);
    } else if (answer.kind === "stumbled") {
      await store.put({ ...entry, tries: entry.tries + 1, why: answer.why });
      if (first) tell("kept", first, answer);
      break;
    } else if (!entry.files.length && entry.panel !== "sheet" && tell("refused", entry, answer, inFront)) {
      await store.drop(entry.order);
    } else {
      await store.put({ ...entry, state: "refused", why: answer.why });
      if (entry.panel === "sheet") tell("refused", entry, answer, inFront);
      else if (inFront) tell("kept", entry, { why: answer.why });
    }
    await changed();
  }
  if (tookAny || first) await changed();
}

// By how many milliseconds the shop's clock is ahead of this device's; undefined when nobody answers.
async function clockAhead() {
  try {
    const response = await fetch(box.dataset.now, { cache: "no-store", signal: patience() });
    if (!response.ok || response.redirected) return undefined;
    return (await response.json()).now - Date.now();
  } catch {
    return undefined;
  }
}

async function send(entry, ahead) {
  const body = new FormData();
  body.append("once", entry.id);
  if (ahead !== null) body.append("noted", String(entry.made + ahead));
  for (const [name, value] of entry.fields) body.append(name, value);
  for (const { name, file, blob } of entry.files) body.append(name, blob, file);
  let response;
  try {
    response = await fetch(entry.address, {
      method: "POST",
      body,
      headers: { [ENTRY]: entry.id, "X-CSRFToken": token() },
      credentials: "same-origin",
      cache: "no-store",
      signal: patience(),
    });
    if (response.headers.get(ENTRY) !== entry.id) return notOurs(response, entry);
    const html = await response.text();
    if (response.ok) return { kind: "taken", html, next: response.headers.get("X-Bench-Next") };
    return { kind: "refused", html, why: decodeURIComponent(response.headers.get("X-Bench-Reason") ?? "") };
  } catch {
    return { kind: "unreached", why: "" };
  }
}

// An answer that is not about this entry: signed out, a proxy's page, a server that stumbled.
function notOurs(response, entry) {
  if (response.redirected || response.status === 401 || response.status === 403) {
    return { kind: "unreached", why: "Load the page again and sign in: then it is sent." };
  }
  if (response.status === 404) return { kind: "refused", why: "The shop’s computer does not know this page." };
  if (response.status === 413) return { kind: "refused", why: "This is more than can be sent at once." };
  if (entry.tries + 1 >= TRIES) return { kind: "refused", why: "The shop’s computer stumbled over this three times; it is in its log." };
  return { kind: "stumbled", why: "The shop’s computer stumbled; it is tried again." };
}

function patience() {
  return AbortSignal.timeout ? AbortSignal.timeout(PATIENCE) : undefined;
}

function token() {
  const name = box?.dataset.cookie ?? "";
  const pair = document.cookie.split("; ").find((one) => one.startsWith(`${name}=`));
  return pair ? decodeURIComponent(pair.slice(name.length + 1)) : "";
}

// --- what is shown of it ------------------------------------------------------------------------------------

async function changed() {
  others?.postMessage("changed");
  await show();
}

export async function show() {
  const entries = await store.all();
  tell("changed", entries.filter((entry) => entry.job === here.job));
  if (!box) return;
  const waiting = entries.filter((entry) => entry.state === "waiting");
  const refused = entries.filter((entry) => entry.state === "refused");
  box.hidden = !entries.length;
  box.classList.toggle("is-refused", refused.length > 0);
  const count = box.querySelector('template[data-part="count"]').content.cloneNode(true);
  count.querySelector("[data-text]").textContent = [
    waiting.length && `${counted(waiting.length, "note")} not sent yet`,
    refused.length && `${counted(refused.length, "note")} refused`,
  ].filter(Boolean).join(", ") + strangers(waiting);
  count.querySelector("[data-send]").hidden = !waiting.length;
  const list = document.createElement("ul");
  list.className = "unsent-list";
  for (const entry of refused) list.append(line(entry));
  box.replaceChildren(...box.querySelectorAll("template"), count, list);
}

function strangers(waiting) {
  const theirs = waiting.filter((entry) => entry.staff !== here.staff).length;
  return theirs ? `; ${theirs} of them by somebody else, who has to sign in here to send them` : "";
}

const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

function line(entry) {
  const drawn = box.querySelector('template[data-part="entry"]').content.cloneNode(true);
  drawn.querySelector(".unsent-what").textContent = `${entry.job} ${entry.title}: ${entry.what}`;
  drawn.querySelector(".unsent-why").textContent = entry.why;
  const mend = drawn.querySelector("[data-mend]");
  mend.hidden = !entry.panel || entry.files.length > 0;
  mend.dataset.order = entry.order;
  drawn.querySelector("[data-drop]").dataset.order = entry.order;
  return drawn;
}

box?.addEventListener("click", async (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.matches("[data-send]")) await flush();
  if (button.matches("[data-drop]")) {
    await store.drop(Number(button.dataset.order));
    await changed();
  }
  if (button.matches("[data-mend]")) await mend(await store.get(Number(button.dataset.order)));
});

// Put a refused entry back into its form. On another job's page that page is opened for it.
export async function mend(entry) {
  if (!entry) return;
  if (entry.job !== here.job) {
    location.assign(`${entry.address.replace(/[^/]+\/$/, "")}?mend=${entry.order}#${entry.panel}`);
    return;
  }
  const form = document.getElementById(`${entry.panel}-form`);
  if (!form) return;
  form.reset();
  form.dataset.mends = entry.order;
  for (const [name, value] of entry.fields) fill(form.elements.namedItem(name), value);
  location.hash = entry.panel;
  form.dispatchEvent(new CustomEvent("bench:filled"));
}

function fill(control, value) {
  if (!control) return;
  if (control instanceof RadioNodeList) {
    for (const one of control) one.checked = one.value === value;
  } else if (control.type === "checkbox") {
    control.checked = true;
  } else if (control.type !== "file") {
    control.value = value;
  }
}

// --- when it is tried again -----------------------------------------------------------------------------------

async function again() {
  if (document.visibilityState === "visible" && (await store.all()).some((entry) => entry.state === "waiting")) await flush();
}

window.addEventListener("online", again);
document.addEventListener("visibilitychange", again);
others?.addEventListener("message", show);
setInterval(again, 15_000);

export async function begin() {
  if (!box) return;
  await show();
  await again();
  const wanted = new URLSearchParams(location.search).get("mend");
  if (wanted) await mend(await store.get(Number(wanted)));
}
