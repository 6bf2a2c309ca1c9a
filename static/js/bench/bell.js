// The bell of the soak tests: rings on every page of the bench when it is time to look at a unit. Browsers let a page sound
// only after it was touched once; the words come up in any case.

let timers = [];

function ring(place) {
  place.hidden = false;
  place.parentElement.hidden = false;
  if (!document.title.startsWith("Check on it")) document.title = `Check on it: ${document.title}`;
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
  timers.forEach(clearTimeout);
  timers = [...document.querySelectorAll("#bench-bell [data-bell-in][hidden]")]
    .map((place) => setTimeout(ring, Number(place.dataset.bellIn) * 1000, place));
}
