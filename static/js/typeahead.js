// Arrow keys between a search box and the answers under it.
//
// The answers are links, buttons or radios drawn by the server (htmx puts them into [data-typeahead-list]); without
// this script Tab reaches them all the same, and without any script the box is an ordinary search form. Escape in the
// box empties the list, unless it "stays".

const CHOICE = "a[href]:not(thead a), button:not([disabled]), input:not([disabled])";

function parts(from) {
  const whole = from.closest?.("[data-typeahead]");
  if (!whole) return null;
  const list = whole.querySelector("[data-typeahead-list]");
  const box = whole.querySelector("input[type=search], input[type=text], input:not([type])");
  return list && box ? { box, choices: Array.from(list.querySelectorAll(CHOICE)), list } : null;
}

document.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const found = parts(event.target);
  if (!found) return;
  const { box, choices, list } = found;
  const at = choices.indexOf(document.activeElement);
  const inBox = event.target === box;
  if (!inBox && at < 0) return;

  if (event.key === "ArrowDown" && choices.length) {
    event.preventDefault();
    choices[Math.min(at + 1, choices.length - 1)].focus();
  } else if (event.key === "ArrowUp" && !inBox) {
    event.preventDefault();
    if (at === 0) box.focus();
    else choices[at - 1].focus();
  } else if (event.key === "Home" && !inBox) {
    event.preventDefault();
    choices[0].focus();
  } else if (event.key === "End" && !inBox) {
    event.preventDefault();
    choices.at(-1).focus();
  } else if (event.key === "Escape") {
    if (inBox) {
      if (list.dataset.typeaheadList !== "stays") list.replaceChildren();
    } else {
      event.preventDefault();
      box.focus();
    }
  } else if (!inBox && event.key.length === 1 && event.key !== " ") {
    // Going on typing goes on in the box, after what stands there.
    box.focus();
    box.setSelectionRange(box.value.length, box.value.length);
  }
});
