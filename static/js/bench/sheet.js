// The sheet of readings: a cell is noted when it is left, by Enter, by the pad or by going elsewhere. Each has an id of its own
// and goes through the outbox; one that is refused waits alone in its cell, and what was typed stays there.

import * as outbox from "./outbox.js";
import { newId } from "./store.js";

const QUIET = 180;

let sheet = null;
let entered = null;

const rows = () => sheet.querySelector("#sheet-rows");
const cells = (within = rows()) => [...within.querySelectorAll(".sheet-input")];
const fresh = (name) => sheet.querySelector(`[name="new-0-${name}"]`);
const said = (input) => input.closest("[data-cell]").querySelector("[data-cell-said]");
const rowOf = (input) => input.closest("[data-row]");
const facts = (input) => JSON.parse(input.dataset.facts || "{}");
const keep = (input, told) => { input.dataset.facts = JSON.stringify(told); };

// --- a cell is noted -----------------------------------------------------------------------------------------

async function note(input) {
  const typed = input.value.trim();
  if (!typed || typed === input.dataset.noted) return;
  const told = facts(input);
  const once = input.dataset.noted === undefined && told.once ? told.once : newId();
  const fields = Object.entries({ ...told, typed, instead_of: input.dataset.reading ?? "" })
    .filter(([name, value]) => name !== "once" && value);
  for (const name of ["meter", "after_repair"]) {
    const control = sheet.querySelector(`[name="${name}"]`);
    if (control.type === "checkbox" ? control.checked : control.value) fields.push([name, control.value]);
  }
  input.dataset.noted = typed;
  input.dataset.entry = once;
  mark(input, "is-waiting");
  // one that still waits on this device, or was refused, is replaced by what was typed now
  const before = Number(input.dataset.order ?? 0);
  delete input.dataset.order;
  let entry;
  try {
    entry = await outbox.write({ id: once, address: sheet.dataset.cell, panel: "sheet", title: "Reading", fields });
  } catch {
    delete input.dataset.noted;
    mark(input, "is-wrong");
    return;
  }
  input.dataset.order = entry.order;
  if (before) await outbox.drop(before);
  outbox.flush(entry);
}

function mark(input, state) {
  const cell = input.closest("[data-cell]");
  cell.classList.remove("is-waiting", "is-noted", "is-wrong");
  if (state) cell.classList.add(state);
  input.toggleAttribute("aria-invalid", state === "is-wrong");
}

const cellOf = (entry) => cells().find((input) => input.dataset.entry === entry.id);

// The answer to a cell: its verdict beside what was typed, and the line among what is written.
export function taken(entry, html) {
  const answer = new DOMParser().parseFromString(html, "text/html");
  const told = answer.getElementById("cell-answer");
  const input = cellOf(entry);
  if (input) {
    delete input.dataset.order;
    input.dataset.reading = told?.dataset.reading ?? "";
    mark(input, "is-noted");
    said(input).replaceChildren(...(told?.childNodes ?? []));
  }
  const line = answer.querySelector("#cell-line > li");
  const section = document.getElementById("record-readings");
  if (!line || !section || document.getElementById(line.id)) return;
  let list = section.querySelector(".readings");
  if (!list) {
    list = document.createElement("ul");
    list.className = "readings";
    section.querySelector(".hint")?.replaceWith(list);
  }
  list.prepend(line);
}

export function refused(entry, html, why) {
  const input = cellOf(entry);
  if (!input) return;
  mark(input, "is-wrong");
  const told = new DOMParser().parseFromString(html, "text/html").getElementById("cell-answer");
  if (told) said(input).replaceChildren(...told.childNodes);
  else said(input).textContent = why;
  said(input).classList.add("judged-wrong");
}

// What waits on this device stands in its cell again after the page was closed.
export function restore(entries) {
  if (!sheet) return;
  for (const entry of entries) {
    if (entry.panel !== "sheet" || cellOf(entry)) continue;
    const told = Object.fromEntries(entry.fields);
    const input = cells().find((one) => same(facts(one), told)) ?? cells(add(told, [told.channel ?? ""]))[0];
    if (!input || input.value) continue;
    input.value = told.typed;
    Object.assign(input.dataset, { noted: told.typed, entry: entry.id, order: entry.order });
    mark(input, entry.state === "refused" ? "is-wrong" : "is-waiting");
    if (entry.state === "refused") said(input).textContent = entry.why;
  }
}

const same = (one, other) => ["where", "quantity", "against", "condition", "adjuster", "channel", "test_point"]
  .every((name) => (one[name] ?? "").toLowerCase() === (other[name] ?? "").toLowerCase());

// --- the verdict while one types --------------------------------------------------------------------------------

let timer = 0;
let asked = null;

function judge(input) {
  clearTimeout(timer);
  timer = setTimeout(async () => {
    asked?.abort();
    asked = new AbortController();
    const { once, ...told } = facts(input);
    const typed = input.value.trim();
    if (!typed) return;
    const unit = told.unit && /[\d.]$/.test(typed) ? ` ${told.unit}` : "";
    const wanted = new URLSearchParams({ ...told, typed: typed + unit });
    try {
      const response = await fetch(`${sheet.dataset.judge}?${wanted}`, { signal: asked.signal });
      if (!response.ok || response.redirected || input.dataset.noted === input.value.trim()) return;
      const answer = new DOMParser().parseFromString(await response.text(), "text/html");
      const shown = answer.querySelector(".verdict, .judged-wrong");
      if (shown) said(input).replaceChildren(shown);
    } catch {
      // without network the verdict comes when it is sent
    }
  }, QUIET);
}

// --- a new row ------------------------------------------------------------------------------------------------------

// Columns as the handbook reads them: names with blanks between, or a run such as pin 1-9.
export function columnsOf(text) {
  const found = [];
  const parts = /(?:([A-Za-z]+)\s+)?([A-Za-z]*)(\d{1,3})\s*(?:-|–|\.\.)\s*([A-Za-z]*)(\d{1,3})|(?:(pin|voice|key|band|input|tap|pos|range)\s+)?([^\s,;]+)/gi;
  for (const [, word, before, first, again, last, kind, one] of text.matchAll(parts)) {
    if (one !== undefined) { found.push([kind, one].filter(Boolean).join(" ")); continue; }
    if (again && again !== before) continue;
    for (let at = Number(first); at <= Number(last) && found.length < 64; at += 1) found.push(`${word ? `${word} ` : ""}${before}${at}`);
  }
  return found.length ? [...new Set(found)].map((one) => one.replaceAll("_", " ")) : [""];
}

function unitFor(quantity, expected) {
  const units = (fresh("quantity").querySelector(`option[value="${quantity}"]`)?.dataset.units ?? "").split("|").filter(Boolean);
  const named = units.filter((unit) => new RegExp(`(^|[\\d\\s.])${unit}(?![A-Za-zµΩ·/])`).test(expected));
  return { units, unit: named.sort((one, other) => other.length - one.length)[0] ?? units[0] ?? "" };
}

// A row with a cell for each column, drawn from the page's own pattern.
function add(told, columns) {
  const row = document.getElementById("sheet-row").content.firstElementChild.cloneNode(true);
  const { units, unit } = unitFor(told.quantity, told.expected ?? "");
  const known = told.unit || unit;
  Object.assign(row.dataset, { unit: known, units: units.join("|"), words: told.quantity === "text" ? "yes" : "" });
  row.querySelector('[data-tell="where"]').textContent = told.where;
  row.querySelector('[data-tell="how"]').textContent = [
    fresh("quantity").querySelector(`option[value="${told.quantity}"]`)?.textContent,
    told.against && `against ${told.against}`, told.condition, told.adjuster, told.expected,
  ].filter(Boolean).join(" · ");
  const box = row.querySelector(".sheet-cells");
  const pattern = box.querySelector("[data-cell]");
  box.replaceChildren(...columns.map((channel) => {
    const cell = pattern.cloneNode(true);
    const input = cell.querySelector(".sheet-input");
    cell.querySelector(".sheet-column").textContent = channel;
    cell.querySelector(".sheet-unit").textContent = known;
    input.setAttribute("aria-label", [told.where, channel].filter(Boolean).join(" "));
    input.removeAttribute("name");
    cell.querySelector('[type="hidden"]').remove();
    keep(input, { ...told, unit: known, channel, once: newId() });
    return cell;
  }));
  rows().append(row);
  return row;
}

// What stands in a field of the new row; a ditto mark stands for what the row above has.
function ditto(name, fact) {
  const typed = fresh(name).value.trim();
  if (!['"', "″", "”", "〃"].includes(typed)) return typed;
  const above = cells().at(-1);
  return above ? facts(above)[fact] ?? "" : "";
}

// Enter in the place makes the row, with what was chosen for the one before; an adjustment asks for adjuster and target first.
function makeRow() {
  const where = ditto("place", "where");
  if (!where) return false;
  const told = {
    where,
    quantity: fresh("quantity").value,
    against: fresh("against").value.trim(),
    condition: fresh("state").value.trim(),
    expected: ditto("expected", "expected"),
    adjuster: ditto("adjuster", "adjuster"),
  };
  const row = add(told, columnsOf(fresh("columns").value));
  for (const name of ["place", "expected", "adjuster", "values"]) fresh(name).value = "";
  go(cells(row)[0]);
  return true;
}

const adjusting = () => /before/i.test(fresh("columns").value);

function nextField(name) {
  const order = adjusting() ? ["place", "adjuster", "expected"] : ["place"];
  const following = order.includes(name) ? order[order.indexOf(name) + 1] : null;
  if (!following) return makeRow();
  fresh(following).focus();
  return true;
}

// --- going about ---------------------------------------------------------------------------------------------------------

export function go(target) {
  if (!target) return;
  target.focus({ preventScroll: true });
  target.closest("[data-row], .sheet-line")?.scrollIntoView({ block: "nearest" });
  target.select?.();
}

export function next(input) {
  const all = cells();
  const at = all.indexOf(input);
  const row = rowOf(input);
  const following = all.slice(at + 1).find((one) => rowOf(one) === row || !one.value) ?? fresh("place");
  go(following);
}

function beside(input, step) {
  const inRow = cells(rowOf(input));
  go(inRow[(inRow.indexOf(input) + step + inRow.length) % inRow.length]);
}

function above(input, step) {
  const all = [...rows().querySelectorAll("[data-row]")];
  const row = all[all.indexOf(rowOf(input)) + step];
  if (!row) { if (step > 0) go(fresh("place")); return; }
  const column = cells(rowOf(input)).indexOf(input);
  const there = cells(row);
  go(there[Math.min(column, there.length - 1)]);
}

// The value of the cell before, once more.
function sameAgain(input) {
  const all = cells();
  const before = all.slice(0, all.indexOf(input)).reverse().find((one) => one.value);
  if (!before) return;
  input.value = before.value;
  setUnit(input, facts(before).unit);
  judge(input);
}

// --- units ------------------------------------------------------------------------------------------------------------------

// The unit stays for the cells of the row that follow, until another one is chosen.
export function setUnit(input, unit) {
  const row = rowOf(input);
  const inRow = cells(row);
  row.dataset.unit = unit;
  for (const one of inRow.slice(inRow.indexOf(input))) {
    if (one !== input && one.value) continue;
    keep(one, { ...facts(one), unit });
    one.closest("[data-cell]").querySelector(".sheet-unit").textContent = unit;
  }
  input.dispatchEvent(new CustomEvent("unit-set", { bubbles: true }));
}

export const unitsOf = (input) => [...new Set([rowOf(input).dataset.unit, ...rowOf(input).dataset.units.split("|")])].filter(Boolean);
export const unitOf = (input) => facts(input).unit ?? "";
export const inWords = (input) => rowOf(input).dataset.words === "yes";

export function typed(input) {
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

export const does = {
  next: (input) => { note(input); next(input); },
  same: (input) => { sameAgain(input); note(input); next(input); },
  other: (input) => { note(input); beside(input, 1); },
};

// --- begin ----------------------------------------------------------------------------------------------------------------------

function keys(event) {
  const input = event.target;
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Enter" && input.name?.startsWith("new-0-")) {
    event.preventDefault();
    nextField(input.name.slice("new-0-".length));
    return;
  }
  if (!input.matches(".sheet-input")) return;
  const acts = {
    Enter: () => (event.shiftKey ? beside(input, -1) : does.next(input)),
    ArrowDown: () => above(input, 1),
    ArrowUp: () => above(input, -1),
    "=": () => !input.value && does.same(input),
    "*": () => does.other(input),
  };
  const act = acts[event.key];
  if (!act || (inWords(input) && event.key.length === 1)) return;
  event.preventDefault();
  act();
}

function chips(event) {
  const button = event.target.closest("[data-fills] button");
  if (!button) return;
  const name = button.parentElement.dataset.fills;
  fresh(name).value = button.dataset.value;
  for (const one of button.parentElement.children) one.setAttribute("aria-pressed", String(one === button));
  if (name === "columns") sheet.classList.toggle("is-adjusting", adjusting());
  fresh("place").focus({ preventScroll: true });
}

// The rows of a template, fetched and put on the sheet; without network its link would leave the page, so it stays.
async function template(event) {
  const link = event.target.closest("[data-rows]");
  if (!link) return;
  event.preventDefault();
  const place = sheet.querySelector("[data-said]");
  try {
    const response = await fetch(link.dataset.rows);
    if (!response.ok || response.redirected) throw new Error("not answered");
    const answer = new DOMParser().parseFromString(await response.text(), "text/html");
    const drawn = [...answer.body.querySelectorAll("[data-row], .sheet-none")];
    sheet.querySelectorAll(".sheet-none").forEach((one) => one.remove());
    const there = drawn.filter((row) => !row.matches("[data-row]") || !cells(row).every(isThere));
    rows().append(...there);
    sheet.querySelector(".sheet-offers").open = false;
    place.textContent = "";
    go(cells(there[0] ?? rows())[0]);
  } catch {
    place.textContent = "These rows can’t be had without network. Write the row below.";
  }
}

const isThere = (input) => cells().some((one) => same(facts(one), facts(input)));

export function begin() {
  sheet = document.getElementById("sheet");
  if (!sheet) return;
  sheet.classList.add("has-script");
  sheet.querySelector("[data-chips]").hidden = false;
  sheet.addEventListener("keydown", keys);
  sheet.addEventListener("click", chips);
  sheet.addEventListener("click", template);
  sheet.addEventListener("input", (event) => { if (event.target.matches(".sheet-input")) judge(event.target); });
  sheet.addEventListener("focusin", (event) => {
    // what is noted is typed anew, not added to
    if (event.target.matches(".sheet-input")) entered = event.target;
  });
  sheet.addEventListener("click", (event) => {
    if (event.target === entered && entered.value) entered.select();
    entered = null;
  });
  sheet.addEventListener("focusout", (event) => {
    if (event.target.matches(".sheet-input") && !event.relatedTarget?.closest?.("#pad")) note(event.target);
  });
  sheet.querySelector("form").addEventListener("submit", (event) => {
    event.preventDefault();
    cells().forEach(note);
    makeRow();
  });
}
