// A drawn signature: strokes on a canvas, sent as a picture in the form's hidden field. Without script the field stays empty.

const INK = 2.5;

for (const box of document.querySelectorAll("[data-signature]")) {
  const canvas = box.querySelector("canvas");
  const field = document.getElementById(box.dataset.signature);
  const pen = canvas.getContext("2d");
  let drawing = false;
  let inked = false;

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
    inked = false;
  };

  // the form came back with a sentence: what was drawn stands in its field and is shown again
  const again = () => {
    const drawn = new Image();
    drawn.addEventListener("load", () => {
      pen.drawImage(drawn, 0, 0);
      inked = true;
    });
    drawn.src = field.value;
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
    inked = true;
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => {
      // a tap leaves nothing on the paper: that is no signature
      if (drawing && inked) field.value = canvas.toDataURL("image/png");
      drawing = false;
    });
  }
  box.querySelector("[data-clear]").addEventListener("click", () => {
    clear();
    field.value = "";
  });

  // where drawing is one way among others, the box takes no room until it is chosen
  const way = box.dataset.way ? field.form.querySelector(box.dataset.way) : null;
  const show = () => { box.hidden = way !== null && !way.checked; };

  clear();
  if (field.value) again();
  field.form.addEventListener("change", show);
  show();
}
