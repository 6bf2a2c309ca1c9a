// A clock started or stopped without network: shown as it will stand once that is sent.

export function show(entries) {
  const box = document.querySelector("[data-clock-box]");
  const last = entries.filter((entry) => /\/(start|stop)\/$/.test(entry.address) && entry.state === "waiting").at?.(-1);
  if (!box || !last) return;
  const runs = last.address.endsWith("/start/");
  for (const part of box.querySelectorAll("[data-when]")) part.hidden = (part.dataset.when === "runs") !== runs;
  const time = box.querySelector("[data-clock]");
  if (runs && time && !time.dataset.since) {
    time.dataset.since = last.made;
    time.dataset.clock = String(Math.round((Date.now() - last.made) / 1000));
    delete time.dataset.clockFrom;
  }
}
