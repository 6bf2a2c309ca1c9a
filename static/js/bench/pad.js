// The keypad of the sheet, for a hand without keyboard: digits, the units of the row, the value before, the other column, on.
// It comes up under a cell that was tapped and goes away when the cell is left; it lies below the sheet and over no field.

import * as sheet from "./sheet.js";

const KEYS = [
  ["7", "8", "9", "⌫", "unit", "unit"],
  ["4", "5", "6", "−", "unit", "unit"],
  ["1", "2", "3", ".", "same", "other"],
  ["abc", "0", "OL", "next"],
];
const NAMES = {
  "⌫": "Delete the last character", "−": "Minus", ".": "Decimal point", OL: "Over range", abc: "Type with the keyboard",
  same: "The value before, again", other: "The other column", next: "Note it and go on",
};
const WORDS = { same: "Same", other: "Other", next: "Next" };

let box = null;
let cell = null;
let byHand = false;

function draw() {
  box.setAttribute("role", "group");
  box.setAttribute("aria-label", "Keypad");
  for (const line of KEYS) {
    for (const what of line) {
      const button = document.createElement("button");
      button.type = "button";
      button.tabIndex = -1;
      button.className = `key${what in WORDS ? " key-word" : ""}${what === "next" ? " key-done pad-next" : ""}`;
      if (what === "unit") {
        button.className = "key key-unit";
        button.dataset.unitKey = "";
      } else {
        button.dataset.key = what;
        button.textContent = WORDS[what] ?? what;
        if (NAMES[what]) button.setAttribute("aria-label", NAMES[what]);
      }
      box.append(button);
    }
  }
}

function write(value) {
  cell.value = value;
  sheet.typed(cell);
}

const ACTS = {
  "⌫": () => write(cell.value.slice(0, -1)),
  "−": () => write(/^[-−]/.test(cell.value) ? cell.value.slice(1) : `−${cell.value}`),
  ".": () => !cell.value.includes(".") && write(`${cell.value || "0"}.`),
  OL: () => write("OL"),
  abc: () => { cell.removeAttribute("inputmode"); cell.blur(); hide(); byHand = false; cell.focus(); },
  same: () => sheet.does.same(cell),
  other: () => sheet.does.other(cell),
  next: () => sheet.does.next(cell),
};

function press(event) {
  const button = event.target.closest("button");
  if (!button || !cell) return;
  if ("unitKey" in button.dataset) {
    if (button.textContent) sheet.setUnit(cell, button.textContent);
    return;
  }
  const what = button.dataset.key;
  if (ACTS[what]) ACTS[what]();
  else write(cell.value === "OL" || cell.value === cell.dataset.noted ? what : cell.value + what);
}

export function show(input) {
  if (!box || !byHand || sheet.inWords(input)) { if (cell !== input) hide(); return; }
  cell = input;
  const units = sheet.unitsOf(input);
  [...box.querySelectorAll("[data-unit-key]")].forEach((button, at) => {
    button.textContent = units[at] ?? "";
    button.hidden = false;
    button.disabled = !units[at];
    button.setAttribute("aria-pressed", String(Boolean(units[at]) && units[at] === sheet.unitOf(input)));
  });
  box.hidden = false;
  document.body.classList.add("has-pad");
  input.closest("[data-row]").scrollIntoView({ block: "nearest" });
}

function hide() {
  cell = null;
  box.hidden = true;
  document.body.classList.remove("has-pad");
}

export function begin(within) {
  if (!within) return;
  box = within.querySelector("#pad");
  draw();
  document.addEventListener("pointerdown", (event) => {
    if (event.target.closest?.("#pad")) return;
    byHand = event.pointerType === "touch";
    const input = event.target.closest?.(".sheet-cell")?.querySelector(".sheet-input");
    if (!input) return;
    if (byHand && !sheet.inWords(input)) input.setAttribute("inputmode", "none");
    else input.removeAttribute("inputmode");
  }, { capture: true });
  // a key of the pad takes no focus from its cell
  box.addEventListener("pointerdown", (event) => event.preventDefault());
  box.addEventListener("mousedown", (event) => event.preventDefault());
  box.addEventListener("click", press);
  within.addEventListener("focusin", (event) => {
    if (!event.target.matches(".sheet-input")) { hide(); return; }
    if (byHand && !sheet.inWords(event.target)) event.target.setAttribute("inputmode", "none");
    show(event.target);
  });
  within.addEventListener("unit-set", (event) => show(event.target));
  within.addEventListener("focusout", (event) => {
    if (event.target === cell && !event.relatedTarget) hide();
  });
  document.addEventListener("focusin", (event) => { if (!within.contains(event.target)) hide(); });
}
