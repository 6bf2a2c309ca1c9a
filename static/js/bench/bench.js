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
import * as pad from "./pad.js";
import * as saying from "./say.js";
import * as sheet from "./sheet.js";
import * as sums from "./sums.js";
import { newId } from "./store.js";
import * as unsent from "./unsent.js";
import { begin as beginOffline } from "./offline.js";

// --- a form is handed to the outbox ------------------------------------------------------------------------

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("[data-outbox]") || form.dataset.plain) return;
  event.preventDefault();
  if (form.dataset.busy) return;
  if (photos.isMissing(form)) {
    say("photos", "Take or choose a photograph first. One that you chose before is kept.");
    return;
  }
  form.dataset.busy = "true";
  const wasIn = form.contains(document.activeElement) && document.activeElement.type !== "file";
  document.body.setAttribute("aria-busy", "true");
  let entry;
  try {
    const words = photos.caption(form);
    entry = words
      ? await outbox.write({ id: newId(), panel: "photos", title: "Caption", ...words })
      : await outbox.keep(form, event.submitter);
  } catch {
    // this device keeps nothing (a private window, a full disk): then the old way
    form.dataset.plain = "true";
    form.requestSubmit(event.submitter);
    return;
  } finally {
    delete form.dataset.busy;
  }
  anew(form);
  if (entry.files.length && entry.panel === "photos") photos.tookOne(entry, document.getElementById("photos"));
  await outbox.flush(entry);
  if (entry.files.length && entry.panel === "photos") photos.ask(document.getElementById("photos"));
  if (entry.panel) panels.rest(entry.panel, { wasIn });
  document.body.removeAttribute("aria-busy");
}, { capture: true });

// It is on this device now: the form is free for the next one, and is left alone once that has been begun.
function anew(form) {
  if (!form.dataset.panel) return;
  const kept = form.querySelector('[name="kind"]:checked')?.value;
  form.reset();
  // the kind of trace stays for the next one
  const again = kept && form.querySelector(`[name="kind"][value="${kept}"]`);
  if (again) again.checked = true;
  form.elements.once.value = newId();
  delete form.dataset.begun;
}

for (const begun of ["input", "change"]) {
  document.addEventListener(begun, (event) => { if (event.target.form) event.target.form.dataset.begun = "true"; });
}

const isBegun = (panel) => Boolean(document.getElementById(`${panel}-form`)?.dataset.begun);

// --- what comes of it ------------------------------------------------------------------------------------------

let stale = false;

outbox.on("taken", (entry, answer, inFront) => {
  if (entry.panel === "sheet") { sheet.taken(entry, answer.html); return; }
  if (!inFront) {
    stale = true;
    say(entry.panel, `Sent: ${entry.what}`, { onlyIfSaid: true });
    return;
  }
  if (answer.next) { leave(answer.next, entry); return; }
  swap(answer.html);
  say(entry.panel, `Noted: ${entry.what}`);
});

// Shown in its panel with what was typed, unless the next one was begun there: then it stays in the outbox.
outbox.on("refused", (entry, answer, inFront) => {
  if (entry.panel === "sheet") { sheet.refused(entry, answer.html, answer.why); return false; }
  if (!inFront || !answer.html || isBegun(entry.panel)) return false;
  const swapped = swap(answer.html);
  const wrong = swapped.map((one) => one.querySelector('[aria-invalid="true"]:not([type="hidden"])')).find(Boolean);
  wrong?.focus();
  return swapped.length > 0;
});

outbox.on("kept", (entry, answer) => {
  say(entry.panel, `Kept on this device, not sent yet: ${entry.what}. ${answer.why}`);
});

outbox.on("changed", (entries) => {
  unsent.show(entries);
  sheet.restore(entries);
  clock.show(entries);
  if (stale && !entries.some((entry) => entry.state === "waiting")) {
    stale = false;
    refresh();
  }
});

// On to the page that comes next. If it is this one, it is drawn anew in place: what was begun meanwhile stays, else the
// next step comes into sight.
async function leave(address, entry) {
  const there = new URL(address, location.href);
  if (there.pathname !== location.pathname || !document.getElementById("bench-record")) {
    location.assign(there);
    return;
  }
  if (location.hash === `#${entry.panel}`) history.replaceState(null, "", there.pathname);
  panels.shut(entry.panel);
  await refresh({ whole: true });
  if (!document.querySelector(".bench-panel.is-open")) document.getElementById("bench-now").scrollIntoView({ block: "center" });
}

function say(panel, words, { onlyIfSaid = false } = {}) {
  const place = panel && document.querySelector(`#${panel} [data-said]`);
  if (!place || (onlyIfSaid && !place.textContent)) return;
  place.textContent = words;
  if (!onlyIfSaid && place.getBoundingClientRect().top < 0) place.closest(".bench-panel").scrollIntoView({ block: "start" });
}

const PIECES = ["bench-bell", "bench-wrong", "bench-head", "bench-temporary", "bench-cautions", "bench-now", "bench-record"];

function swap(html) {
  const answer = new DOMParser().parseFromString(html, "text/html");
  const swapped = [];
  for (const fresh of [...answer.body.children]) {
    const old = fresh.id && document.getElementById(fresh.id);
    if (!old || (fresh.matches(".bench-panel") && isBegun(fresh.id))) continue;
    // the kind of trace stays for the next one
    const kind = old.querySelector('[name="kind"]:checked')?.value;
    const again = kind && fresh.matches(".bench-panel") && fresh.querySelector(`[name="kind"][value="${kind}"]`);
    if (again) again.checked = true;
    old.replaceWith(fresh);
    swapped.push(fresh);
    if (fresh.matches(".bench-panel")) panels.prepared(fresh);
  }
  bell.begin();
  outbox.show();
  return swapped;
}

// What was noted elsewhere, or sent only now, is drawn in; an open panel and what stands in it are left alone.
async function refresh({ whole = false } = {}) {
  try {
    const response = await fetch(location.pathname, { headers: { Accept: "text/html" } });
    if (!response.ok || response.redirected) return;
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    for (const id of PIECES) {
      const [old, fresh] = [document.getElementById(id), page.getElementById(id)];
      if (!old || !fresh) continue;
      // what was opened to be read stays open
      if (old.querySelector(".hazards[open]")) fresh.querySelector(".hazards")?.setAttribute("open", "");
      old.replaceWith(fresh);
    }
    if (whole) panels.redraw(page);
    bell.begin();
    outbox.show();
  } catch {
    // the next time then
  }
}

// What may come a moment later than the page: left out while there is no network.
async function fetchLazily(place) {
  try {
    const response = await fetch(place.dataset.lazy, { headers: { "X-Requested-With": "bench" } });
    if (response.ok && !response.redirected) place.innerHTML = await response.text();
  } catch {
    // its link stays
  }
}

// --- begin -------------------------------------------------------------------------------------------------------

sheet.begin();
pad.begin(document.getElementById("sheet"));
panels.each(keypad.prepare);
panels.each(judge.prepare);
panels.each(saying.prepare);
panels.each(photos.prepare);
panels.begin();
marks.begin();
sums.begin();
bell.begin();
beginOffline();
document.querySelectorAll("[data-lazy]").forEach(fetchLazily);
outbox.begin();
