// Who stands at the door is signed out, however that came: bench pages kept for use without network go.
// Notes that are not sent yet lie elsewhere and stay until their writer is back.

if ("caches" in window) {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith("bench-")).map((name) => caches.delete(name)));
}
