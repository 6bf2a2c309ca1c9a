// The bench page on a tablet. Everything on it works without this file; with it, one taps instead of typing, sees the
// verdict while typing, and loses nothing when the network is away.

import * as bell from "./bell.js";
import * as clock from "./clock.js";
import * as judge from "./judge.js";
import * as keypad from "./keypad.js";
import * as marks from "./marks.js";
import * as outbox from "./outbox.js";
import * as panels from "./panels.js";
import * as photos from "./photos.js";
import { newId } from "./store.js";
import * as unsent from "./unsent.js";
import { begin as beginOffline } from "./offline.js";

// --- a form is handed to the outbox ------------------------------------------------------------------------

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("[data-outbox]") || form.dataset.plain) return;
  event.preventDefault();
  if (form.dataset.busy) return;
  form.dataset.busy = "true";
  document.body.setAttribute("aria-busy", "true");
  let entry;
  try {
    entry = await outbox.keep(form, event.submitter);
  } catch {
    // this device keeps nothing (a private window, a full disk): then the old way
    form.dataset.plain = "true";
    form.requestSubmit(event.submitter);
    return;
  } finally {
    delete form.dataset.busy;
  }
  await outbox.flush(entry);
  document.body.removeAttribute("aria-busy");
}, { capture: true });

// --- what comes of it ------------------------------------------------------------------------------------------

let stale = false;

outbox.on("taken", (entry, answer, inFront) => {
  if (!inFront) {
    stale = true;
    say(entry.panel, `Sent: ${entry.what}`, { onlyIfSaid: true });
    return;
  }
  if (answer.next) { leave(answer.next); return; }
  swap(answer.html);
  say(entry.panel, `Noted: ${entry.what}`);
});

outbox.on("refused", (entry, answer, inFront) => {
  if (!inFront) return;
  const swapped = swap(answer.html);
  const wrong = swapped.map((one) => one.querySelector('[aria-invalid="true"]:not([type="hidden"])')).find(Boolean);
  wrong?.focus();
});

outbox.on("kept", (entry, answer) => {
  const form = document.getElementById(`${entry.panel}-form`);
  if (form) {
    form.reset();
    form.elements.once.value = newId();
    form.dispatchEvent(new Event("input"));
    say(entry.panel, `Kept on this device, not sent yet: ${entry.what}. ${answer.why}`);
  }
});

outbox.on("changed", (entries) => {
  unsent.show(entries);
  clock.show(entries);
  if (stale && !entries.some((entry) => entry.state === "waiting")) {
    stale = false;
    refresh();
  }
});

function leave(address) {
  const there = new URL(address, location.href);
  if (there.pathname === location.pathname) {
    history.replaceState(null, "", there.pathname);
    location.reload();
  } else location.assign(there);
}

function say(panel, words, { onlyIfSaid = false } = {}) {
  const place = panel && document.querySelector(`#${panel} [data-said]`);
  if (!place || (onlyIfSaid && !place.textContent)) return;
  place.textContent = words;
  if (!onlyIfSaid && place.getBoundingClientRect().top < 0) place.closest(".bench-panel").scrollIntoView({ block: "start" });
}

const PIECES = ["bench-wrong", "bench-head", "bench-now", "bench-record"];

function swap(html) {
  const answer = new DOMParser().parseFromString(html, "text/html");
  const swapped = [];
  for (const fresh of [...answer.body.children]) {
    const old = fresh.id && document.getElementById(fresh.id);
    if (!old) continue;
    old.replaceWith(fresh);
    swapped.push(fresh);
    if (fresh.matches(".bench-panel")) panels.prepared(fresh);
  }
  bell.begin();
  outbox.show();
  return swapped;
}

// What was noted elsewhere, or sent only now, is drawn in; panels and what stands in them are left alone.
async function refresh() {
  try {
    const response = await fetch(location.pathname, { headers: { Accept: "text/html" } });
    if (!response.ok || response.redirected) return;
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    for (const id of PIECES) {
      const [old, fresh] = [document.getElementById(id), page.getElementById(id)];
      if (old && fresh) old.replaceWith(fresh);
    }
    bell.begin();
    outbox.show();
  } catch {
    // the next time then
  }
}

// --- begin -------------------------------------------------------------------------------------------------------

panels.each(keypad.prepare);
panels.each(judge.prepare);
panels.each(photos.prepare);
panels.begin();
marks.begin();
bell.begin();
beginOffline();
outbox.begin();
