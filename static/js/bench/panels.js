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
  const first = opened.querySelector("[data-first], textarea") ?? opened;
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
