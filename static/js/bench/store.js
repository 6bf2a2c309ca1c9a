// The outbox's drawer on this device: entries in the order in which they were made, kept in IndexedDB until the
// shop's computer has taken them. No script elsewhere touches the database.

const NAME = "mendwright-bench";
let opened = null;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("entries", { keyPath: "order", autoIncrement: true });
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      resolve(asked.result);
    };
  });
  opened.catch(() => { opened = null; });
  return opened;
}

async function within(mode, work) {
  const drawer = await open();
  return new Promise((resolve, reject) => {
    const transaction = drawer.transaction("entries", mode);
    const asked = work(transaction.objectStore("entries"));
    transaction.oncomplete = () => resolve(asked.result);
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });
}

// Resolves with the entry's place in the order once it is written to the disk.
export const put = (entry) => within("readwrite", (entries) => entries.put(entry));
export const drop = (order) => within("readwrite", (entries) => entries.delete(order));
export const all = () => within("readonly", (entries) => entries.getAll());
export const get = (order) => within("readonly", (entries) => entries.get(order));

// A random id by RFC 9562, version 4. crypto.randomUUID exists on secure pages only, getRandomValues everywhere.
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
