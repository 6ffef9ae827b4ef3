// Elements of the page. User text only becomes textContent or the value of a field; `drawn` takes markup of the journal.

import { choiceKey } from "./keyboard.js";

let lastId = 0;

export function uniqueId(prefix) {
  lastId += 1;
  return `${prefix}-${lastId}`;
}

// make("button", { class: "quiet", text: "Add", onclick: add }, child, ...)
export function make(name, attributes = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key === "text") element.textContent = value;
    else if (key === "value" || key === "checked" || key.startsWith("on")) element[key] = value;
    else element.setAttribute(key, value === true ? "" : value);
  }
  if (holdsText(element)) element.lang = "";
  element.append(...inside.flat().filter((part) => part !== null && part !== undefined && part !== false));
  return element;
}

// A field of text holds her own words, which may be of any language: a screen reader and a spelling check must not take
// them for the language of the page.
const holdsText = ({ localName, type }) => localName === "textarea" || (localName === "input" && type === "text");

export function button(text, press, attributes = {}) {
  return make("button", { type: "button", text, onclick: press, ...attributes });
}

// A drawing or table that the journal made, with its text escaped (journal/charts/figure.py, journal/sections/escape.py).
// Nothing else becomes markup.
export function drawn(markup, attributes = {}) {
  const element = make("div", attributes);
  element.innerHTML = markup;
  return element;
}

// A card with a heading that labels it as a region.
export function card(title, kind, ...inside) {
  const id = uniqueId("card");
  return make("section", { class: `card ${kind}`, "aria-labelledby": id }, make("h2", { id, text: title }), ...inside);
}

// A text area that grows with its content, so that a long line is visible at any width.
export function growingText(attributes) {
  const field = make("textarea", { rows: 1, ...attributes });
  const grow = () => {
    field.style.height = "auto";
    field.style.height = `${field.scrollHeight + 2}px`;
  };
  field.addEventListener("input", grow);
  new ResizeObserver((seen, observer) => {
    if (field.isConnected) grow();
    else if (seen.length && field.wasShown) observer.disconnect();
    field.wasShown = field.isConnected;
  }).observe(field);
  return field;
}

// A field with a visible label above it and a place for messages below it.
export function labelled(label, field, path) {
  field.id = field.id || uniqueId("field");
  return make("div", { class: "labelled" }, make("label", { for: field.id, text: label }), field, path && problemSpot(path, field));
}

// The place for error messages of a field. It is linked by aria-describedby, so it is read out with the field.
export function problemSpot(path, ...fields) {
  const id = uniqueId("wrong");
  const place = make("p", { class: "wrong", id, "data-spot": path, hidden: true });
  for (const field of fields) {
    field.setAttribute("data-field", path);
    const described = field.getAttribute("aria-describedby");
    field.setAttribute("aria-describedby", described ? `${described} ${id}` : id);
  }
  return place;
}

// The place for messages without a field, read out at once. It is a list in an alert: a list that is one would be none.
export function alertPlace(kind = "unplaced") {
  return make("div", { class: kind, role: "alert" });
}

export function tellAll(place, messages) {
  place.replaceChildren(...(messages.length ? [make("ul", {}, messages.map((text) => make("li", { text })))] : []));
}

export function tell(place, message) {
  place.textContent = message || "";
  place.hidden = !message;
  const root = place.getRootNode();
  for (const field of root.querySelectorAll ? root.querySelectorAll(`[aria-describedby~="${place.id}"]`) : []) {
    if (message) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
}

// A choice of native radio buttons, which have arrow keys and accessible names. Clicking the chosen option again, or
// Backspace, clears the choice, unless one option `must` be chosen.
export function choice({ name, label, options, chosen, choose, kind = "", describedby = null, must = false }) {
  const group = uniqueId("choice");
  let now = chosen;
  const set = (value) => {
    if (must && value === null) return;
    now = value;
    for (const radio of box.querySelectorAll("input")) radio.checked = options[Number(radio.value)].value === value;
    choose(value);
  };
  const parts = options.map((option, place) => {
    const id = uniqueId("option");
    const radio = make("input", {
      type: "radio", id, name: group, value: String(place), checked: option.value === chosen, "aria-label": option.name,
    });
    radio.addEventListener("click", () => {
      if (option.value === now) set(null);
    });
    radio.addEventListener("change", () => {
      if (radio.checked) set(option.value);
    });
    const shown = make("label", { for: id, class: option.kind || "", title: option.title }, ...(option.shown || [option.name]));
    if (option.style) for (const [key, value] of Object.entries(option.style)) shown.style.setProperty(key, value);
    return make("span", { class: "option" }, radio, shown);
  });
  const box = make(
    "div",
    { role: "radiogroup", class: `choice ${kind}`, "aria-label": label, "data-field": name, "aria-describedby": describedby },
    parts,
  );
  box.addEventListener("keydown", (event) => {
    const pressed = choiceKey(event, options);
    if (!pressed) return;
    event.preventDefault();
    set(pressed.place === null ? null : options[pressed.place].value);
    if (pressed.place !== null) box.querySelectorAll("input")[pressed.place].focus();
  });
  return box;
}
