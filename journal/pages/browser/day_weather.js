// The weather and the place of a day, corrected where they stand.

import { card, labelled, make, problemSpot } from "./elements.js";
import { fieldKey, sentFields, typedFields } from "./day_fields.js";
import { fieldControls, fieldRow } from "./field_controls.js";
import { leavesLine } from "./keyboard.js";
import { _ } from "./texts.js";

export function dayWeather(page) {
  const { fields, sun } = page.offer;
  const saved = typedFields(fields);
  const typed = Object.fromEntries(fields.map((field) => [fieldKey(field), page.typed[`fields ${fieldKey(field)}`] ?? saved[fieldKey(field)]]));
  const paths = fields.map((field) => `fields ${fieldKey(field)}`);
  const isChanged = () => fields.some((field) => typed[fieldKey(field)] !== saved[fieldKey(field)]);
  const send = () => {
    const now = JSON.stringify(typed);
    if (page.drawing || !isChanged() || page.sent.fields === now) return;
    page.sent.fields = now;
    page.edit({ what: "fields", ...sentFields(fields, typed) }, "fields", paths);
  };
  const changed = (path) => {
    const key = path.slice("fields.".length);
    if (typed[key] === saved[key]) page.forget(`fields ${key}`);
    else page.keep(`fields ${key}`, typed[key]);
    if (fields.find((field) => fieldKey(field) === key)?.control === "scale") send();
  };
  const scales = fields.filter((field) => field.control === "scale");
  const box = make("div", {}, fieldRow({ changed }, fields.filter((field) => !scales.includes(field)), typed, "fields."), fieldControls({ changed }, scales, typed, "fields."));
  box.addEventListener("focusout", (event) => {
    if (!box.contains(event.relatedTarget)) send();
  });
  box.addEventListener("keydown", (event) => {
    if (!leavesLine(event)) return;
    event.preventDefault();
    send();
  });
  return card(_("Weather and place"), "day-weather", sun && make("p", { class: "sun", text: sun }), box, place(page));
}

function place(page) {
  const { places, place: here } = page.offer;
  if (places.length < 2) return null;
  const select = make("select", {}, places.map((one) => make("option", { value: one.key, text: one.name })));
  select.value = here;
  select.addEventListener("change", () => page.edit({ what: "place", key: select.value }, "place"));
  return make("div", {}, labelled(_("Place"), select), problemSpot("place", select));
}
