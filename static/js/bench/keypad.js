// The keypad of a reading: digits, the units of the chosen quantity, over range. It writes into the same field that a
// keyboard would; what stands there is what is sent.

const DIGITS = [["7", "8", "9"], ["4", "5", "6"], ["1", "2", "3"], ["−", "0", "."]];
const LABELS = { "−": "minus", ".": "decimal point", OL: "over range" };

function picture(name) {
  const sheet = document.querySelector("use[href*='#']")?.getAttribute("href").split("#")[0];
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", "icon");
  svg.setAttribute("aria-hidden", "true");
  svg.append(document.createElementNS("http://www.w3.org/2000/svg", "use"));
  svg.firstChild.setAttribute("href", `${sheet}#${name}`);
  return svg;
}

function key(text, css = "", label = LABELS[text]) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = `key ${css}`.trim();
  button.textContent = text;
  button.dataset.key = text;
  if (label) button.setAttribute("aria-label", label);
  return button;
}

// "11.9 V" is a number and the unit behind it; anything else was typed by hand and is left alone.
function split(text) {
  const found = /^\s*([-−]?)([\d.,]*)\s*(.*?)\s*$/.exec(text);
  return { sign: found[1] ? "−" : "", digits: found[2], unit: found[3] };
}

const join = ({ sign, digits, unit }) => (digits ? `${sign}${digits}${unit ? ` ${unit}` : ""}` : sign);

export function prepare(panel) {
  const form = panel.querySelector("form");
  const place = panel.querySelector("[data-keys]");
  if (!place || !form || place.childElementCount) return;
  const typed = form.elements.typed;
  const quantity = form.elements.quantity;
  const units = document.createElement("div");
  const keys = document.createElement("div");
  units.className = "keypad-units";
  keys.className = "keypad-keys";
  units.setAttribute("role", "group");
  units.setAttribute("aria-label", "Unit");
  const side = [key("⌫", "", "Delete the last digit"), key("OL"), key("abc", "", "Type with the keyboard")];
  side[0].replaceChildren(picture("delete"));
  side[2].replaceChildren(picture("keyboard"));
  const note = key("Note it", "key-word key-done");
  note.type = "submit";
  note.prepend(picture("check"));
  delete note.dataset.key;
  side.push(note);
  DIGITS.forEach((row, at) => keys.append(...row.map((one) => key(one)), side[at]));
  place.append(units, keys);
  panel.classList.add("has-keypad");
  panel.querySelector('.panel-end [type="submit"]')?.remove();
  typed.setAttribute("inputmode", "none");
  typed.dataset.first = "";

  const offered = () => (quantity.selectedOptions[0]?.dataset.units ?? "").split(" ").filter(Boolean);
  const write = (value) => {
    typed.value = value;
    typed.dispatchEvent(new Event("input", { bubbles: true }));
    mark();
  };
  const usual = () => {
    const wanted = form.elements.expected.value;
    const named = offered().filter((unit) => new RegExp(`(^|[\\d\\s.])${unit}(?![A-Za-zµΩ])`).test(wanted));
    return named.sort((one, other) => other.length - one.length)[0] ?? offered()[0] ?? "";
  };
  const mark = () => {
    const now = split(typed.value).unit || usual();
    for (const one of units.children) one.setAttribute("aria-pressed", String(one.dataset.unit === now));
  };
  const offerUnits = () => {
    for (const one of quick.children) one.setAttribute("aria-pressed", String(one.dataset.quantity === quantity.value));
    units.replaceChildren(
      ...offered().map((unit) => {
        const button = key(unit, "key-unit");
        delete button.dataset.key;
        button.dataset.unit = unit;
        return button;
      }),
    );
    const now = split(typed.value);
    // a unit of the keypad follows the quantity, once there is one; what was typed by hand is left alone
    const ofTheKeypad = !now.unit || [...quantity.options].some((one) => (one.dataset.units ?? "").split(" ").includes(now.unit));
    if (now.digits && offered().length && ofTheKeypad && !offered().includes(now.unit)) write(join({ ...now, unit: usual() }));
    mark();
  };

  place.addEventListener("click", (event) => {
    const pressed = event.target.closest("button");
    if (!pressed || pressed === note) return;
    const now = split(typed.value === "OL" ? "" : typed.value);
    if (pressed.dataset.unit !== undefined) return now.digits ? write(join({ ...now, unit: pressed.dataset.unit })) : null;
    const what = pressed.dataset.key;
    if (what === "OL") return write("OL");
    if (what === "abc") {
      typed.removeAttribute("inputmode");
      typed.blur();
      return typed.focus();
    }
    if (what === "−") return write(join({ ...now, sign: now.sign ? "" : "−" }));
    if (what === "⌫") return write(join({ ...now, digits: now.digits.slice(0, -1) }));
    if (what === "." && /[.,]/.test(now.digits)) return null;
    const digits = what === "." && !now.digits ? "0." : now.digits + what;
    return write(join({ sign: now.sign, digits, unit: now.unit || usual() }));
  });

  const quick = document.createElement("div");
  quick.className = "keypad-quick";
  quick.setAttribute("role", "group");
  quick.setAttribute("aria-label", "What is measured");
  for (const option of quantity.querySelectorAll("[data-quick]")) {
    const button = key(option.textContent, "key-word");
    delete button.dataset.key;
    button.dataset.quantity = option.value;
    quick.append(button);
  }
  quantity.before(quick);
  quick.addEventListener("click", (event) => {
    const pressed = event.target.closest("button");
    if (!pressed) return;
    quantity.value = pressed.dataset.quantity;
    quantity.dispatchEvent(new Event("change", { bubbles: true }));
  });

  const known = panel.querySelector(".reading-place");
  const choose = (point) => {
    const facts = point.dataset;
    for (const name of ["where", "quantity", "expected", "condition", "channel", "role"]) {
      form.elements[name].value = facts[name] ?? "";
    }
    known.classList.toggle("is-known", Boolean(point.value));
    known.classList.remove("is-open-yet");
    offerUnits();
    typed.dispatchEvent(new Event("input", { bubbles: true }));
    // after the label has given the focus to its own button
    setTimeout(() => (point.value ? typed : form.elements.where).focus({ preventScroll: true }));
  };
  form.addEventListener("change", (event) => {
    if (event.target.name === "test_point") choose(event.target);
    if (event.target.name === "quantity") offerUnits();
  });
  form.addEventListener("bench:filled", offerUnits);
  form.addEventListener("reset", () => setTimeout(() => { known.classList.remove("is-known"); begin(); offerUnits(); }));
  begin();
  offerUnits();

  // With test points to choose from, the fields for another place wait until it is chosen.
  function begin() {
    const chosen = form.querySelector('[name="test_point"]:checked');
    const wrong = panel.querySelector(".reading-place .field-wrong");
    known.classList.toggle("is-known", Boolean(chosen?.value) && !wrong);
    known.classList.toggle("is-open-yet", !chosen && !wrong);
  }
}
