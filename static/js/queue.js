// The queue by hand: a row is taken by its grip, carried to another place and let go there; then its form is sent with the
// number of that place. Without this module the number is typed. Escape puts the row back.

const list = document.querySelector("tbody[data-queue]");
let carried = null;

const rows = () => [...list.querySelectorAll("tr")];

function take(event) {
  const grip = event.target.closest("[data-grip]");
  if (!grip || event.button > 0) return;
  event.preventDefault();
  const row = grip.closest("tr");
  carried = { row, before: row.nextElementSibling, from: rows().indexOf(row) };
  grip.setPointerCapture(event.pointerId);
  row.classList.add("is-carried");
}

// The place is that of the row whose middle the finger has passed.
function carry(event) {
  if (!carried) return;
  const others = rows().filter((row) => row !== carried.row);
  const below = others.find((row) => {
    const { top, height } = row.getBoundingClientRect();
    return event.clientY < top + height / 2;
  });
  if ((below ?? null) !== carried.row.nextElementSibling) list.insertBefore(carried.row, below ?? null);
}

function letGo() {
  if (!carried) return;
  const { row, from } = carried;
  row.classList.remove("is-carried");
  carried = null;
  const place = rows().indexOf(row);
  if (place === from) return;
  const form = row.querySelector("form");
  form.elements.place.value = place + 1;
  form.requestSubmit();
}

function putBack() {
  if (!carried) return;
  list.insertBefore(carried.row, carried.before);
  carried.row.classList.remove("is-carried");
  carried = null;
}

if (list) {
  for (const grip of list.querySelectorAll("[data-grip]")) grip.hidden = false;
  list.addEventListener("pointerdown", take);
  list.addEventListener("pointermove", carry);
  list.addEventListener("pointerup", letGo);
  list.addEventListener("pointercancel", putBack);
  document.addEventListener("keydown", (event) => { if (event.key === "Escape") putBack(); });
}
