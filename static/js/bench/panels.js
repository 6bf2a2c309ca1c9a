// One panel at a time: the doors of the dock open it, Back and Close shut it. Without script :target does the same.

const panels = () => document.querySelectorAll(".bench-panel");
const ready = new Set();

// A part of the page says what is to be done with each panel, now and whenever one is drawn anew.
export function each(prepare) {
  ready.add(prepare);
  panels().forEach(prepare);
}

export function prepared(panel) {
  ready.forEach((prepare) => prepare(panel));
}

export function open(name, { quietly = false } = {}) {
  let opened = null;
  for (const panel of panels()) {
    const wanted = panel.id === name;
    panel.classList.toggle("is-open", wanted);
    if (wanted) opened = panel;
  }
  for (const door of document.querySelectorAll(".bench-dock [data-opens]")) {
    door.setAttribute("aria-expanded", String(door.dataset.opens === name));
  }
  if (!opened || quietly) return;
  opened.scrollIntoView({ block: "start" });
  const first = opened.querySelector("[data-first], textarea, input[enterkeyhint]") ?? opened;
  first.focus({ preventScroll: true });
}

export function shut(name) {
  document.getElementById(name)?.classList.remove("is-open");
  document.querySelector(`.bench-dock [data-opens="${name}"]`)?.setAttribute("aria-expanded", "false");
}

// The panels of a page that was fetched anew: another stage has others. One that is open stays as it is.
export function redraw(page) {
  const wanted = [...page.querySelectorAll(".bench-panel")];
  for (const old of panels()) {
    if (!old.matches(".is-open") && !wanted.some((fresh) => fresh.id === old.id)) old.remove();
  }
  for (const fresh of wanted) {
    const old = document.getElementById(fresh.id);
    if (old?.matches(".is-open")) continue;
    if (old) old.replaceWith(fresh);
    else document.querySelector(".bench-doing").append(fresh);
    prepared(fresh);
  }
}

document.addEventListener("click", (event) => {
  const door = event.target.closest("[data-opens]");
  // The address stays the same when an open panel's door is pressed again: then it is shut.
  if (door && location.hash === `#${door.dataset.opens}`) {
    event.preventDefault();
    if (door.getAttribute("aria-expanded") === "true") location.hash = "main";
    else open(door.dataset.opens);
  }
});

// --- by keyboard -------------------------------------------------------------------------------------------

// Enter in a field that asks for more goes on to the next one; in the last it notes, as everywhere.
function onward(event) {
  const field = event.target;
  if (event.key !== "Enter" || event.ctrlKey || event.shiftKey || field.enterKeyHint !== "next" || !field.closest(".bench-panel")) return;
  const all = [...field.form.querySelectorAll("input:not([type=hidden], [type=radio], [type=checkbox], [type=file]), textarea, select")];
  const next = all.slice(all.indexOf(field) + 1).find((one) => one.checkVisibility?.() ?? true);
  if (!next) return;
  event.preventDefault();
  next.focus();
}

// A tile that was touched leads on to where one types.
function led(event) {
  const panel = event.target.closest(".bench-panel");
  if (event.target.type !== "radio" || !panel || !event.isTrusted) return;
  const wanted = panel.querySelector("[data-after-tile]") ?? null;
  if (wanted && !wanted.value) setTimeout(() => wanted.focus({ preventScroll: true }));
}

export const keyed = { last: null };

function keys(event) {
  const field = event.target.closest("input, textarea, select, [contenteditable]");
  if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
    const form = field?.form?.closest(".bench-panel, .sheet, .bench-now") ? field.form : null;
    if (!form) return;
    event.preventDefault();
    form.requestSubmit();
    return;
  }
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape") {
    const open = document.querySelector(".bench-panel.is-open");
    const help = document.querySelector("dialog[open]");
    if (help) help.close();
    else if (open) { event.preventDefault(); location.hash = "main"; back(open.id); }
    return;
  }
  if (field && !["checkbox", "radio", "button"].includes(field.type)) return;
  if (event.key === "/") {
    const find = document.querySelector('.drawer-search input, input[type="search"]');
    if (find) { event.preventDefault(); find.focus(); }
  } else if (event.key === "s") {
    const cell = document.querySelector("#sheet .sheet-input, #sheet [name$='-place']");
    if (cell) { event.preventDefault(); cell.focus(); }
  } else if (event.key === "?") {
    event.preventDefault();
    document.getElementById("bench-keys")?.showModal();
  } else {
    const door = document.querySelector(`[data-shortcut="${CSS.escape(event.key.toLowerCase())}"]`);
    if (door) { event.preventDefault(); door.click(); }
  }
}

// Back to the door that opened the panel, or to the cell that was left for it.
function back(name) {
  const there = keyed.last?.isConnected ? keyed.last : document.querySelector(`.bench-dock [data-opens="${name}"]`);
  there?.focus({ preventScroll: true });
}

document.addEventListener("keydown", onward);
document.addEventListener("keydown", keys);
document.addEventListener("change", led);
document.addEventListener("focusout", (event) => { if (event.target.matches?.(".sheet-input")) keyed.last = event.target; });

// After a note the hand is where it was: in the first field of the panel that stays open.
export function rest(name, { wasIn = false } = {}) {
  const panel = document.getElementById(name);
  if (!wasIn || !panel?.matches(".is-open")) return;
  const first = panel.querySelector('[aria-invalid="true"], [data-first], textarea, input:not([type=hidden], [type=radio], [type=checkbox], [type=file])');
  (first ?? panel).focus({ preventScroll: true });
}

// The strip of hazards is read by opening it: one touch.
document.addEventListener("toggle", (event) => {
  const strip = event.target;
  if (!strip.open || !strip.matches?.(".hazards[data-read]")) return;
  delete strip.dataset.read;
  strip.querySelector("form").requestSubmit();
}, { capture: true });

window.addEventListener("hashchange", () => open(location.hash.slice(1)));

export function begin() {
  document.body.classList.add("has-panels");
  const drawnOpen = document.querySelector(".bench-panel.is-open");
  if (drawnOpen) open(drawnOpen.id, { quietly: true });
  else if (location.hash) open(location.hash.slice(1));
}
