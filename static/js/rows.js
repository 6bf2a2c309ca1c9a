// Lists by keyboard: with the arrow keys from row to row, Enter opens. Without this module the tab key does the same.

const LISTS = "tbody[data-rows]";

function openers(list) {
  return Array.from(list.querySelectorAll("tr")).map((row) => row.querySelector("a")).filter(Boolean);
}

document.addEventListener("keydown", (event) => {
  if (!["ArrowDown", "ArrowUp"].includes(event.key) || event.altKey || event.ctrlKey || event.metaKey) return;
  const held = document.activeElement;
  if (held.matches("select, textarea, [contenteditable]")) return;
  const within = held.closest(LISTS);
  // from the field that filters a list one goes down into it
  const list = within ?? (held.matches('input[type="search"]') && !held.closest("[data-typeahead]") ? document.querySelector(LISTS) : null);
  if (!list) return;
  const rows = openers(list);
  const at = rows.findIndex((link) => link.closest("tr").contains(held));
  const next = rows[at + (event.key === "ArrowDown" ? 1 : -1)];
  if (!next) return;
  event.preventDefault();
  next.focus();
});
