// A drawn signature: strokes on a canvas, sent as a picture in the form's hidden field. Without script the field stays empty.

const INK = 2.5;

for (const box of document.querySelectorAll("[data-signature]")) {
  const canvas = box.querySelector("canvas");
  const field = document.getElementById(box.dataset.signature);
  const pen = canvas.getContext("2d");
  let drawing = false;
  box.hidden = false;

  const at = (event) => {
    const edge = canvas.getBoundingClientRect();
    return [(event.clientX - edge.left) * (canvas.width / edge.width), (event.clientY - edge.top) * (canvas.height / edge.height)];
  };

  const clear = () => {
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.strokeStyle = "#000";
    pen.lineWidth = INK;
    pen.lineCap = "round";
    pen.lineJoin = "round";
    field.value = "";
  };

  canvas.addEventListener("pointerdown", (event) => {
    drawing = true;
    canvas.setPointerCapture(event.pointerId);
    pen.beginPath();
    pen.moveTo(...at(event));
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!drawing) return;
    pen.lineTo(...at(event));
    pen.stroke();
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => {
      if (drawing) field.value = canvas.toDataURL("image/png");
      drawing = false;
    });
  }
  box.querySelector("[data-clear]").addEventListener("click", clear);
  clear();
}
