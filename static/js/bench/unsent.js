// The notes of this job that wait on this device, shown where they will stand once they are sent.

export function show(entries) {
  const record = document.getElementById("bench-record");
  document.getElementById("bench-unsent")?.remove();
  const waiting = entries.filter((entry) => entry.state === "waiting");
  if (!record || !waiting.length) return;
  const card = document.createElement("section");
  card.className = "card card-close";
  card.id = "bench-unsent";
  const head = document.createElement("div");
  head.className = "card-head";
  const title = document.createElement("h2");
  title.textContent = "Not sent yet";
  head.append(title);
  const list = document.createElement("ul");
  list.className = "lines";
  for (const entry of waiting.reverse()) {
    const line = document.createElement("li");
    line.className = "line line-unsent";
    line.dataset.entry = entry.id;
    const what = document.createElement("strong");
    what.textContent = `${entry.title}. `;
    line.append(what, entry.what);
    list.append(line);
  }
  card.append(head, list);
  record.prepend(card);
}
