// Elements of the page. What a person wrote only ever becomes textContent or the value of a field, never markup.

import { choiceKey } from "./keyboard.js";

let made = 0;

export function uniqueId(prefix) {
  made += 1;
  return `${prefix}-${made}`;
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
  element.append(...inside.flat().filter((part) => part !== null && part !== undefined && part !== false));
  return element;
}

export function button(text, press, attributes = {}) {
  return make("button", { type: "button", text, onclick: press, ...attributes });
}

// A card with a heading, which names it as a region of the page.
export function card(title, kind, ...inside) {
  const id = uniqueId("card");
  return make("section", { class: `card ${kind}`, "aria-labelledby": id }, make("h2", { id, text: title }), ...inside);
}

// A text that grows with what is typed, so that a long line is seen whole at any width.
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

// A field with its visible label above it, and its place for a message below it.
export function labelled(label, field, path) {
  field.id = field.id || uniqueId("field");
  return make("div", { class: "labelled" }, make("label", { for: field.id, text: label }), field, path && problemSpot(path, field));
}

// The place for what is wrong with a field. The message is tied to the field, so it is read out with it.
export function problemSpot(path, ...fields) {
  const id = uniqueId("wrong");
  const place = make("p", { class: "wrong", id, "data-spot": path, hidden: true });
  for (const field of fields) {
    field.setAttribute("data-field", path);
    const told = field.getAttribute("aria-describedby");
    field.setAttribute("aria-describedby", told ? `${told} ${id}` : id);
  }
  return place;
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

// One of some choices, each a native radio button, so that the arrow keys and the names come with it. A chosen one
// that is clicked once more, or Backspace, takes the choice back, but not where one of them `must` be.
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
