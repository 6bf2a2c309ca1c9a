// Photographs: made smaller on this device before they are kept or sent. Drawing them anew also leaves behind where
// and with what they were taken; the server does the same with whatever reaches it.

const LONGEST_SIDE = 1600;
const QUALITY = 0.85;
const SMALL_ENOUGH = 300_000;

export async function shrink(file) {
  if (!file.type.startsWith("image/")) return file;
  let bitmap;
  try {
    bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return file; // not for this browser to read: the server says what it is
  }
  const scale = Math.min(1, LONGEST_SIDE / Math.max(bitmap.width, bitmap.height));
  if (scale === 1 && file.size < SMALL_ENOUGH && file.type === "image/jpeg") return stripped(bitmap, file, 1);
  return stripped(bitmap, file, scale);
}

async function stripped(bitmap, file, scale) {
  const width = Math.max(1, Math.round(bitmap.width * scale));
  const height = Math.max(1, Math.round(bitmap.height * scale));
  try {
    const blob = await draw(bitmap, width, height);
    return blob && (blob.size < file.size || scale < 1) ? blob : file;
  } catch {
    return file;
  } finally {
    bitmap.close?.();
  }
}

function draw(bitmap, width, height) {
  if ("OffscreenCanvas" in window) {
    const canvas = new OffscreenCanvas(width, height);
    canvas.getContext("2d").drawImage(bitmap, 0, 0, width, height);
    return canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
  }
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  canvas.getContext("2d").drawImage(bitmap, 0, 0, width, height);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
}

// Whether a photograph is to be kept where none was chosen, nor one was taken before that these words are for.
export function isMissing(form) {
  const input = form.dataset.panel === "photos" && form.querySelector('input[type="file"]');
  return Boolean(input) && !input.files.length && !(lastTaken && form.dataset.begun);
}

// The photograph that was taken last in this panel: its caption may come afterwards.
let lastTaken = "";

export function tookOne(entry, panel) {
  lastTaken = entry.id;
  ask(panel);
}

export function ask(panel) {
  const words = panel?.querySelector("[data-captions]");
  if (!words || !lastTaken) return;
  words.hidden = false;
  panel.querySelector('[name="caption"]').focus({ preventScroll: true });
}

// The words for the photograph that is on its way or kept already; nothing where the form brings one of its own.
export function caption(form) {
  const input = form.dataset.panel === "photos" && form.querySelector('input[type="file"]');
  if (!input || input.files.length || !lastTaken || !form.dataset.begun) return null;
  const of = lastTaken;
  lastTaken = "";
  const shows = form.querySelector('[name="shows"]:checked')?.value ?? "";
  return {
    address: form.querySelector("[data-caption]").dataset.caption,
    fields: [["of", of], ["caption", form.elements.caption.value], ["shows", shows]].filter(([, value]) => value),
  };
}

// The Photo door opens the camera at once, and what comes back is kept at once: two touches.
export function prepare(panel) {
  const input = panel.querySelector('input[type="file"]');
  if (!input) return;
  input.addEventListener("change", () => {
    if (input.files.length) panel.querySelector("form").requestSubmit();
  });
}

document.addEventListener("click", (event) => {
  const door = event.target.closest('.bench-dock [data-opens="photos"]');
  if (door && door.getAttribute("aria-expanded") !== "true") document.querySelector('#photos input[type="file"]')?.click();
});
