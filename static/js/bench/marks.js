// What is drawn with the finger over a photograph or on an empty sheet: kept in fractions of the picture.

const SVG = "http://www.w3.org/2000/svg";
const MOST = 60;
const MOST_POINTS = 4000;
const NEAR = 0.004; // points of the pen that lie nearer than this are left out

export function begin() {
  const form = document.querySelector("[data-marks]");
  if (!form) return;
  const board = form.querySelector("[data-board]");
  const field = form.elements.marks;
  const picture = board.querySelector("img");
  const tools = form.querySelector("[data-tools]");
  const ask = form.querySelector("[data-mark-words]");
  const words = ask.querySelector("input");
  const marks = JSON.parse(field.value || "[]");
  let shape = "arrow";
  let drawing = null;
  tools.hidden = false;
  board.classList.add("is-drawable");
  // Enter in the words' field would send the whole page
  words.addEventListener("keydown", (event) => { if (event.key === "Enter") event.preventDefault(); });

  const width = () => Number(picture.getAttribute("width"));
  const height = () => Number(picture.getAttribute("height"));
  const size = () => Math.max(width(), height()) / 28;
  const drawnByHand = () => marks.reduce((sum, mark) => sum + (mark.points?.length ?? 0), 0);

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
    if (mark.shape === "pen") {
      return [element("path", { d: `M${mark.points.map(([x, y]) => `${x * width()} ${y * height()}`).join("L")}` })];
    }
    const [x1, y1] = [mark.x1 * width(), mark.y1 * height()];
    if (mark.shape === "words") {
      const text = element("text", { x: x1, y: y1, "font-size": size() });
      text.textContent = mark.words;
      return [text];
    }
    const [x2, y2] = [mark.x2 * width(), mark.y2 * height()];
    const length = Math.hypot(x2 - x1, y2 - y1);
    if (mark.shape === "circle") return [element("circle", { cx: x1, cy: y1, r: length })];
    if (mark.shape === "box") return [element("path", { d: `M${x1} ${y1}H${x2}V${y2}H${x1}Z` })];
    const line = element("path", { d: `M${x1} ${y1}L${x2} ${y2}` });
    if (mark.shape === "line" || !length) return [line];
    const along = [(x2 - x1) / length, (y2 - y1) / length];
    const foot = [x2 - along[0] * size(), y2 - along[1] * size()];
    const side = (sign) => `${foot[0] - (sign * along[1] * size()) / 2},${foot[1] + (sign * along[0] * size()) / 2}`;
    return [line, element("polygon", { points: `${side(1)} ${x2},${y2} ${side(-1)}` })];
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

  const far = ([x1, y1], [x2, y2], least) => Math.hypot(x2 - x1, y2 - y1) > least;

  board.addEventListener("pointerdown", (event) => {
    if (marks.length >= MOST || !event.isPrimary) return;
    event.preventDefault();
    const [x1, y1] = at(event);
    if (shape === "words") {
      const said = words.value.trim().replace(/\s+/g, " ");
      if (said) marks.push({ shape, x1, y1, words: said });
      else words.focus();
      words.value = "";
      redraw();
      return;
    }
    board.setPointerCapture(event.pointerId);
    drawing = shape === "pen" ? { shape, points: [[x1, y1]] } : { shape, x1, y1, x2: x1, y2: y1 };
  });
  board.addEventListener("pointermove", (event) => {
    if (!drawing || !event.isPrimary) return;
    const here = at(event);
    if (drawing.shape !== "pen") [drawing.x2, drawing.y2] = here;
    else if (far(drawing.points.at(-1), here, NEAR) && drawnByHand() + drawing.points.length < MOST_POINTS) drawing.points.push(here);
    redraw();
  });
  board.addEventListener("pointerup", (event) => {
    if (!event.isPrimary) return;
    // a mere touch is no mark
    const enough = drawing && (drawing.shape === "pen" ? drawing.points.length > 1 : far([drawing.x1, drawing.y1], [drawing.x2, drawing.y2], 0.02));
    if (enough) marks.push(drawing);
    drawing = null;
    redraw();
  });
  board.addEventListener("pointercancel", () => { drawing = null; redraw(); });
  tools.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if ("undo" in button.dataset) { marks.pop(); redraw(); return; }
    shape = button.dataset.shape;
    ask.hidden = shape !== "words";
    if (!ask.hidden) words.focus();
    for (const one of tools.querySelectorAll("[data-shape]")) one.setAttribute("aria-pressed", String(one === button));
  });
}
