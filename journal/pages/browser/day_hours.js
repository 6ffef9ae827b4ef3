// The hours of a day: the planned strip with the hour it is, or the hours as they went; and the plan to change.

import { beginning, paint } from "./category_paint.js";
import { button, card, make } from "./elements.js";
import { linesOfHours, hoursOfLines } from "./hour_lines.js";
import { hoursEditor } from "./hours_editor.js";
import { DAY, parseTime } from "./times.js";
import { blocksOf, nowText, planRows } from "./day_words.js";
import { same } from "./form_state.js";
import { _ } from "./texts.js";

const TYPED = "hours";
const percent = (minutes) => `${(minutes / DAY) * 100}%`;

export function dayHours(page) {
  const { offer } = page;
  if (offer.kind === "coming") return card(_("The hours"), "hours-card", from(offer), planEditor(page));
  const lived = offer.kind === "past" && Object.keys(offer.actual).length > 0;
  const drawn = lived ? offer.actual : offer.planned;
  const words = make("p", { class: "now" });
  const line = make("div", { class: "now-line", "aria-hidden": "true" });
  page.onMinute = (minute) => {
    words.hidden = line.hidden = minute === null;
    if (minute === null) return;
    words.textContent = nowText(offer, minute);
    line.hidden = minute >= DAY;
    line.style.left = percent(Math.min(minute, DAY));
  };
  page.onMinute(page.minute());
  const rows = planRows(drawn, offer);
  const list = make("details", {}, make("summary", { text: _("The hours as a list") }), make("ul", { class: "plan-list" }, rows.map((row) => make("li", {}, make("span", { class: "when", text: row.times }), make("span", { text: row.name })))));
  const title = offer.kind === "past" ? (lived ? _("The hours as they went") : _("The hours as planned")) : _("The hours");
  return card(
    title, "hours-card", words, from(offer),
    rows.length ? strip(offer, drawn, line) : make("p", { class: "empty", text: _("No hours are planned.") }),
    rows.length ? list : null,
    offer.kind === "today" && changing(page),
  );
}

function from({ planned_from: source, kind }) {
  const words = { usual: _("The usual hours of journal.toml, until you plan others."), weekday: _("The hours of this weekday in journal.toml, until you plan others.") }[source];
  return words && kind !== "past" ? make("p", { class: "hint", text: words }) : null;
}

// The strip as a picture. The list below it has the same in words.
function strip(offer, hours, line) {
  const layer = make("div", { class: "layer" });
  const lane = make("div", { class: "lane" }, layer);
  lane.style.setProperty("--hours", "24");
  const put = (element, start, end) => {
    element.style.left = percent(start);
    element.style.width = percent(end - start);
    layer.append(element);
  };
  if (offer.daylight) put(make("div", { class: "daylight" }), ...offer.daylight);
  for (const block of blocksOf(hours, offer)) {
    const category = offer.categories.find((one) => one.key === block.category);
    const element = make("div", { class: "block first last", title: category?.name ?? block.category });
    element.append(make("span", { class: "block-name", "data-name": category?.name ?? block.category, "data-short": beginning(offer.categories, block.category) }));
    put(paint(element, offer.categories, block.category), block.from, block.to);
  }
  // Of a name that its block cannot hold, the beginning is shown, or nothing: the list below has it.
  const isCut = (name) => name.scrollWidth > name.clientWidth;
  new ResizeObserver(() => {
    const names = [...layer.querySelectorAll(".block-name")];
    const write = (name, text, isShort) => {
      name.textContent = text;
      name.classList.toggle("short", isShort);
      name.hidden = false;
    };
    names.forEach((name) => write(name, name.dataset.name, false));
    const cut = names.filter(isCut); // all are measured in one layout
    cut.forEach((name) => write(name, name.dataset.short, true));
    cut.filter(isCut).forEach((name) => { name.hidden = true; });
  }).observe(layer);
  for (const mark of marked(offer)) put(make("div", { class: "appointment-mark", title: mark.title }), mark.from, Math.max(mark.to, mark.from + 15));
  layer.append(line);
  const scale = make("div", { class: "scale" }, [0, 6, 12, 18, 24].map((hour) => {
    const mark = make("span", { text: offer.clock === 24 ? String(hour) : [_("midnight"), _("6 am"), _("noon"), _("6 pm"), ""][hour / 6] });
    mark.style.left = percent(hour * 60);
    return mark;
  }));
  return make("div", { class: "strip shown", "aria-hidden": "true" }, make("div", { class: "track" }, lane), scale);
}

function marked(offer) {
  return offer.appointments.flatMap((one) => {
    const [start, end] = [parseTime(one.start || ""), parseTime(one.end || one.start || "")];
    return start.wrong ? [] : [{ title: one.title, from: start.minutes, to: end.wrong ? start.minutes : end.minutes || DAY }];
  });
}

function changing(page) {
  const details = make("details", { open: TYPED in page.typed }, make("summary", { text: _("Change the plan") }));
  const fill = () => details.children.length < 2 && details.append(planEditor(page));
  details.addEventListener("toggle", () => details.open && fill());
  if (details.open) fill();
  return details;
}

// The editor of the plan. It is the one thing of the page with a button to save it: a strip is moved many times.
function planEditor(page) {
  const { offer } = page;
  const saved = linesOfHours(offer.planned, offer);
  const now = { planned: [...(page.typed[TYPED] ?? saved)] };
  const save = button(_("Save the hours"), () => page.edit({ what: "hours", planned: hoursOfLines(now.planned, offer.categories) }, "planned", [TYPED]), { class: "save" });
  const changed = () => {
    if (same(now.planned, saved)) page.forget(TYPED);
    else page.keep(TYPED, [...now.planned]);
    show();
  };
  const show = () => { save.hidden = offer.planned_from === "page" && !(TYPED in page.typed); };
  const editor = hoursEditor({ offer, now, changed }, {
    key: "planned", path: "planned", name: page.ofDay({ today: _("Hours of today"), tomorrow: _("Hours of tomorrow"), other: _("Hours of that day") }), open: false,
    view: () => ({ marks: marked(offer), daylight: offer.daylight }),
  });
  show();
  return make("div", {}, editor.element, save);
}

