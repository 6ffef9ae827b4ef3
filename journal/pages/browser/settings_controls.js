// The control of one field of journal.toml: a text, a choice, a tick, lines, a day, a time zone, a colour, habits.
//
// `sheet` has offer, now and `changed(path)`; `at` is { values, key, path }: where the value is kept, and where its
// problems are shown. Every control has a visible label, and a hint that is read out with it.

import { growingText, labelled, make, problemSpot, uniqueId } from "./elements.js";
import { isColour, shownColour } from "./settings_state.js";
import { _ } from "./texts.js";

export function settingControl(sheet, field, at) {
  const put = (value) => {
    at.values[at.key] = value;
    sheet.changed(at.path);
  };
  const made = (DRAWN[field.control] ?? text)(sheet, field, at, put);
  made.classList.add("setting", `as-${field.control}`);
  if (field.hint) hint(made, field.hint);
  return made;
}

function hint(made, words) {
  const id = uniqueId("hint");
  made.querySelector(":is(input, textarea, select, [role=group])")?.setAttribute("aria-describedby", [id, described(made)].filter(Boolean).join(" "));
  made.append(make("p", { class: "hint", id, text: words }));
}

const described = (made) => made.querySelector("[aria-describedby]")?.getAttribute("aria-describedby");

function text(_sheet, field, { values, key, path }, put) {
  const isNumber = ["number", "whole"].includes(field.control);
  const input = make("input", {
    type: "text", autocomplete: "off", value: values[key], placeholder: field.example ? _("e.g. {example}", { example: field.example }) : null,
    ...(isNumber ? { inputmode: "decimal", class: "short" } : {}), ...(field.control === "key" ? { spellcheck: "false" } : {}),
  });
  input.addEventListener("input", () => put(input.value));
  return labelled(field.label, input, path);
}

function choice(_sheet, field, { values, key, path }, put) {
  const options = [...field.options];
  if (!options.some(({ value }) => value === values[key])) options.push({ value: values[key], name: _("{value} (as in the file)", { value: values[key] || _("nothing") }) });
  const list = make("select", {}, options.map(({ value, name }) => make("option", { value, text: name })));
  list.value = values[key];
  list.addEventListener("change", () => put(list.value));
  return labelled(field.label, list, path);
}

function tick(_sheet, field, { values, key, path }, put) {
  const box = make("input", { type: "checkbox", checked: values[key] });
  box.addEventListener("change", () => put(box.checked));
  return make("div", {}, make("label", { class: "check" }, box, make("span", { text: field.label })), problemSpot(path, box));
}

function lines(_sheet, field, { values, key, path }, put) {
  const area = growingText({ value: values[key], rows: field.control === "lines" ? 3 : 1 });
  area.addEventListener("input", () => put(area.value));
  return labelled(field.label, area, path);
}

// A value that is no date stays visible as the text it is.
function date(_sheet, field, { values, key, path }, put) {
  const isDate = values[key] === "" || /^\d{4}-\d{2}-\d{2}$/.test(values[key]);
  const input = make("input", { type: isDate ? "date" : "text", value: values[key] });
  input.addEventListener("input", () => put(input.value));
  return labelled(field.label, input, path);
}

function zone(sheet, field, { values, key, path }, put) {
  const id = uniqueId("zones");
  const list = make("datalist", { id });
  const input = make("input", { type: "text", autocomplete: "off", spellcheck: "false", list: id, value: values[key], placeholder: _("e.g. {example}", { example: field.example }) });
  input.addEventListener("focus", async () => {
    if (!list.childElementCount) list.append(...(await sheet.zones()).map((name) => make("option", { value: name })));
  });
  input.addEventListener("input", () => put(input.value.trim()));
  const made = labelled(field.label, input, path);
  made.append(list);
  return made;
}

// A colour by its code, or by the system's picker. Without one, Duskbook takes the next of its own.
function colour(sheet, field, { values, key, path }, put) {
  const code = make("input", { type: "text", autocomplete: "off", spellcheck: "false", class: "short", value: values[key], placeholder: _("automatic") });
  const picker = make("input", { type: "color", value: shownColour(sheet.offer, values), "aria-label": _("{label}, pick one", { label: field.label }) });
  code.addEventListener("input", () => {
    put(code.value.trim());
    picker.value = shownColour(sheet.offer, values);
  });
  picker.addEventListener("input", () => {
    code.value = picker.value.toUpperCase();
    put(code.value);
  });
  code.addEventListener("change", () => isColour(code.value) && put(code.value));
  const made = labelled(_("{label}, as #RRGGBB", { label: field.label }), code, path);
  const pair = make("div", { class: "line-with" }, picker);
  code.before(pair);
  pair.prepend(code);
  return made;
}

function habits(sheet, field, { values, key, path }, put) {
  const names = new Map(sheet.now.lists.habits.filter((row) => row.values.key).map((row) => [row.values.key, row.values.name]));
  for (const chosen of values[key]) if (!names.has(chosen)) names.set(chosen, chosen);
  const ticks = [...names].map(([habit, name]) => {
    const box = make("input", { type: "checkbox", checked: values[key].includes(habit) });
    box.addEventListener("change", () => put(box.checked ? [...values[key], habit] : values[key].filter((other) => other !== habit)));
    return make("label", { class: "check" }, box, make("span", { text: name }));
  });
  const id = uniqueId("label");
  const group = make("div", { role: "group", "aria-labelledby": id, class: "ticks" }, ticks.length ? ticks : make("p", { class: "empty", text: _("There is no habit yet.") }));
  return make("div", {}, make("p", { class: "question", id, text: field.label }), group, problemSpot(path, group));
}

const DRAWN = { choice, tick, lines, words: lines, date, zone, colour, habits };
