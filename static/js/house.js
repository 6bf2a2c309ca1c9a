// The house's own behaviour on every page. Pages are whole without it.

const HTMX_BEFORE = ["htmx:beforeRequest", "htmx:before:request"];
const HTMX_AFTER = ["htmx:afterRequest", "htmx:after:request"];
const HTMX_SWAPPED = ["htmx:afterSwap", "htmx:after:swap"];

function listen(names, handler) {
  for (const name of names) document.addEventListener(name, handler);
}

// --- day and night -----------------------------------------------------------------------------

function wearTheme(theme) {
  const root = document.documentElement;
  if (theme === "auto") root.removeAttribute("data-theme");
  else root.dataset.theme = theme;
  for (const button of document.querySelectorAll("[data-theme-switch] button")) {
    button.setAttribute("aria-pressed", String(button.value === theme));
  }
}

// A paper opens beside the page. Who comes back finds the page as it stands by then, unless something is typed elsewhere on it.
function freshOnReturn(form) {
  const isTypedInto = (one) =>
    Array.from(one.elements).some((box) => box.value !== (box.defaultValue ?? box.value) || box.checked !== box.defaultChecked);
  document.addEventListener("visibilitychange", function back() {
    if (document.hidden) return;
    document.removeEventListener("visibilitychange", back);
    if (Array.from(document.forms).some((one) => one !== form && isTypedInto(one))) return;
    location.replace(location.pathname + location.search);
  });
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.target === "_blank" && form.method === "post") freshOnReturn(form);
  if (!form.matches("[data-theme-switch]") || !event.submitter) return;
  event.preventDefault();
  const theme = event.submitter.value;
  const secure = location.protocol === "https:" ? "; secure" : "";
  document.cookie = `theme=${theme}; path=/; max-age=${400 * 24 * 3600}; samesite=lax${secure}`;
  wearTheme(theme);
});

// A page kept for use without network was drawn when another theme may have been worn.
const worn = document.cookie.match(/(?:^|; )theme=(light|dark|auto)/);
if (worn) wearTheme(worn[1]);

// --- the room one stands in is in sight --------------------------------------------------------------

const room = document.querySelector(".rooms [aria-current]");
if (room) {
  const rooms = room.closest(".rooms");
  rooms.scrollLeft = room.offsetLeft - rooms.offsetLeft - (rooms.clientWidth - room.clientWidth) / 2;
}

// --- the first mistake gets the focus ------------------------------------------------------------

function focusFirstMistake(within) {
  const wrong = within.querySelector('[aria-invalid="true"]:not([type="hidden"]), [data-form-error]');
  if (wrong) wrong.focus();
}

// Where the browser tells the answer's status, only a refused form takes the focus.
const answered = performance.getEntriesByType("navigation")[0]?.responseStatus;
if (!answered || answered === 422) focusFirstMistake(document);

let refused = null;

listen(HTMX_SWAPPED, (event) => {
  const status = event.detail?.xhr?.status ?? event.detail?.ctx?.response?.status;
  if (status !== 422 || refused) return;
  // The event comes once for each new element; the first mistake of them all is wanted.
  refused = event.target.parentElement ?? document;
  setTimeout(() => {
    focusFirstMistake(refused);
    refused = null;
  });
});

// --- one press, one sending -----------------------------------------------------------------------

function submitButtons(form) {
  return Array.from(form.elements).filter((one) => one.matches("button:not([type=button], [type=reset]), input[type=submit]"));
}

function hold(form, submitter) {
  for (const button of submitButtons(form)) {
    if (button.disabled) continue;
    button.disabled = true;
    button.dataset.held = "";
  }
  if (submitter?.matches(".button")) submitter.classList.add("is-sending");
  form.setAttribute("aria-busy", "true");
}

// The book may be busy: whoever waits is told that what was sent is being taken.
function sayWhenLong(form) {
  setTimeout(() => {
    if (form.hasAttribute("aria-busy")) say("still-sending");
  }, 4_000);
}

function release(form) {
  for (const button of submitButtons(form)) {
    if (!("held" in button.dataset)) continue;
    button.disabled = false;
    delete button.dataset.held;
    button.classList.remove("is-sending");
  }
  form.removeAttribute("aria-busy");
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  // After everyone else has had their say, and after the pressed button's own value has been taken.
  setTimeout(() => {
    if (event.defaultPrevented || form.method !== "post" || form.target === "_blank" || event.submitter?.formTarget === "_blank") return;
    hold(form, event.submitter);
    sayWhenLong(form);
    // An answer that is a file leaves the page standing, and a lost one may be sent again.
    setTimeout(() => release(form), 60_000);
  });
});

// Back from the browser's memory: the form is to be used again.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) for (const form of document.forms) release(form);
});

// A question that a field asks while one types (a GET) is not the form being sent: held buttons would swallow Enter.
function sentForm(event) {
  const form = event.target.closest?.("form");
  return form && event.detail?.requestConfig?.verb === "post" ? form : null;
}

listen(HTMX_BEFORE, (event) => {
  const form = sentForm(event);
  if (!form) return;
  setTimeout(() => hold(form, event.detail.requestConfig.triggeringEvent?.submitter));
  sayWhenLong(form);
});

listen(HTMX_AFTER, (event) => {
  const form = sentForm(event);
  if (form) setTimeout(() => release(form));
});

// --- no answer, or a bad one -------------------------------------------------------------------------

function say(templateId) {
  const notice = document.getElementById(templateId);
  const messages = document.getElementById("messages");
  if (!notice || !messages) return;
  messages.replaceChildren(notice.content.cloneNode(true));
  messages.scrollIntoView({ block: "nearest" });
}

listen(["htmx:sendError", "htmx:timeout"], () => say("no-answer"));
listen(["htmx:responseError"], () => say("bad-answer"));

// --- running clocks -------------------------------------------------------------------------------------

// data-clock holds the seconds the server counted when it drew the page; only the time since then is taken
// from the device, so a wrong device clock does no harm.
const drawn = Date.now();

function clockText(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const parts = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  return parts.map((part, place) => (place ? String(part).padStart(2, "0") : String(part))).join(":");
}

function tick() {
  for (const clock of document.querySelectorAll("[data-clock]")) {
    if (!clock.dataset.clockFrom) clock.dataset.clockFrom = String(Date.now() - drawn < 2000 ? drawn : Date.now());
    const since = (Date.now() - Number(clock.dataset.clockFrom)) / 1000;
    clock.textContent = clockText(Number(clock.dataset.clock) + since);
  }
}

tick();
setInterval(tick, 1000);
document.addEventListener("visibilitychange", tick);

// --- signing out ------------------------------------------------------------------------------------------

// Pages kept for use without network go along; notes that are not sent yet stay until their writer is back, and it is said.
document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("[data-signs-out]")) return;
  event.preventDefault();
  const count = await unsent();
  const notes = count === 1 ? "One note on this device is" : `${count} notes on this device are`;
  if (count && !confirm(`${notes} not sent yet. They stay here, and are sent once you sign in again. Sign out?`)) return;
  if ("caches" in window) {
    const names = await caches.keys().catch(() => []);
    await Promise.all(names.filter((name) => name.startsWith("bench-")).map((name) => caches.delete(name)));
  }
  form.submit();
});

// How many notes wait in the bench's drawer on this device; none where there is no drawer, and none is made.
function unsent() {
  return new Promise((resolve) => {
    if (!("indexedDB" in window)) return resolve(0);
    const asked = indexedDB.open("mendwright-bench");
    asked.onupgradeneeded = () => asked.transaction.abort();
    asked.onerror = asked.onblocked = () => resolve(0);
    asked.onsuccess = () => {
      const drawer = asked.result;
      const counted = drawer.transaction("entries").objectStore("entries").count();
      counted.onsuccess = () => resolve(counted.result);
      counted.onerror = () => resolve(0);
      drawer.close();
    };
  });
}
