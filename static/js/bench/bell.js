// The bell of a soak test: rings when it is time to look at the unit. Browsers let a page sound only after it was
// touched once; the words on the page change in any case.

let timer = 0;

function ring() {
  const place = document.querySelector("[data-soak]");
  if (!place) return;
  const words = place.querySelector(".progress-line span");
  if (words) words.textContent = "Time to look at it";
  document.title = `Look at it: ${document.title}`;
  try {
    const sound = new AudioContext();
    for (const start of [0, 0.5, 1]) {
      const tone = sound.createOscillator();
      const loudness = sound.createGain();
      tone.frequency.value = 880;
      loudness.gain.setValueAtTime(0.2, sound.currentTime + start);
      loudness.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + start + 0.4);
      tone.connect(loudness).connect(sound.destination);
      tone.start(sound.currentTime + start);
      tone.stop(sound.currentTime + start + 0.4);
    }
  } catch {
    // no sound on this device: the words are there
  }
}

export function begin() {
  clearTimeout(timer);
  const place = document.querySelector("[data-bell-in]");
  const seconds = Number(place?.dataset.bellIn);
  if (seconds > 0) timer = setTimeout(ring, seconds * 1000);
}
