// Arrows and circles on a photograph: drawn with the finger over it, kept in fractions of the picture.

const SVG = "http://www.w3.org/2000/svg";
const MOST = 24;

export function begin() {
  const form = document.querySelector("[data-marks]");
  if (!form) return;
  const board = form.querySelector("[data-board]");
  const field = form.elements.marks;
  const picture = board.querySelector("img");
  const tools = form.querySelector("[data-tools]");
  const marks = JSON.parse(field.value || "[]");
  let shape = "arrow";
  let drawing = null;
  tools.hidden = false;
  board.classList.add("is-drawable");

  const width = () => Number(picture.getAttribute("width"));
  const height = () => Number(picture.getAttribute("height"));

  function redraw() {
    board.querySelector(".marks")?.remove();
    const sheet = document.createElementNS(SVG, "svg");
    sheet.setAttribute("class", "marks");
    sheet.setAttribute("viewBox", `0 0 ${width()} ${height()}`);
    sheet.setAttribute("stroke-width", String(Math.floor(Math.max(width(), height()) / 160) + 1));
    sheet.setAttribute("aria-hidden", "true");
    for (const mark of drawing ? [...marks, drawing] : marks) sheet.append(...draw(mark));
    board.querySelector(".marked").append(sheet);
    field.value = JSON.stringify(marks);
  }

  function draw(mark) {
    const [x1, x2] = [mark.x1 * width(), mark.x2 * width()];
    const [y1, y2] = [mark.y1 * height(), mark.y2 * height()];
    const length = Math.hypot(x2 - x1, y2 - y1);
    if (mark.shape === "circle") return [element("circle", { cx: x1, cy: y1, r: length })];
    if (!length) return [];
    const size = Math.max(width(), height()) / 28;
    const along = [(x2 - x1) / length, (y2 - y1) / length];
    const foot = [x2 - along[0] * size, y2 - along[1] * size];
    const side = (sign) => `${foot[0] - (sign * along[1] * size) / 2},${foot[1] + (sign * along[0] * size) / 2}`;
    return [element("path", { d: `M${x1} ${y1}L${x2} ${y2}` }), element("polygon", { points: `${side(1)} ${x2},${y2} ${side(-1)}` })];
  }

  function element(name, attributes) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
    return made;
  }

  function at(event) {
    const box = picture.getBoundingClientRect();
    const within = (value) => Math.round(Math.min(1, Math.max(0, value)) * 1e4) / 1e4;
    return [within((event.clientX - box.left) / box.width), within((event.clientY - box.top) / box.height)];
  }

  board.addEventListener("pointerdown", (event) => {
    if (marks.length >= MOST) return;
    event.preventDefault();
    board.setPointerCapture(event.pointerId);
    const [x1, y1] = at(event);
    drawing = { shape, x1, y1, x2: x1, y2: y1 };
  });
  board.addEventListener("pointermove", (event) => {
    if (!drawing) return;
    [drawing.x2, drawing.y2] = at(event);
    redraw();
  });
  board.addEventListener("pointerup", () => {
    // a mere touch is no mark
    if (drawing && Math.hypot(drawing.x2 - drawing.x1, drawing.y2 - drawing.y1) > 0.02) marks.push(drawing);
    drawing = null;
    redraw();
  });
  board.addEventListener("pointercancel", () => { drawing = null; redraw(); });
  tools.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if ("undo" in button.dataset) { marks.pop(); redraw(); return; }
    shape = button.dataset.shape;
    for (const one of tools.querySelectorAll("[data-shape]")) one.setAttribute("aria-pressed", String(one === button));
  });
}
