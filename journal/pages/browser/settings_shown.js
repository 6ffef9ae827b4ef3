// A list of journal.toml that another page makes: each of its tables folded under its name, in words, without controls.

import { make, problemSpot } from "./elements.js";
import { _ } from "./texts.js";

// `rowName` names a row, `asideOf` says its days.
export function shownRows(sheet, name, { rowName, asideOf }) {
  const kind = sheet.offer.lists[name];
  const there = make("a", { href: `../${kind.made_on}/?open=lot`, text: _("To the trials") });
  const about = make("p", { class: "aside about" }, kind.about, " ", there);
  const rows = sheet.now.lists[name].map((row) => {
    const { facts } = kind.rows.find(({ ref }) => ref === row.ref) ?? { facts: [] };
    const path = `${name}.${row.uid}`;
    const body = make("div", { class: "row-body" }, factsList(kind, row, facts, path), problemSpot(path));
    const details = make(
      "details", { class: "row", open: sheet.opened.has(path) },
      make("summary", {}, make("span", { class: "name", text: rowName(kind, row) }), make("span", { class: "aside", text: asideOf(name, row, sheet) })), body,
    );
    details.addEventListener("toggle", () => (details.open ? sheet.opened.add(path) : sheet.opened.delete(path)));
    return make("li", {}, details);
  });
  const list = rows.length ? make("ul", { class: "rows-set" }, rows) : make("p", { class: "empty", text: _("None yet.") });
  return make("div", { class: "setting-list" }, about, list, problemSpot(name));
}

// A problem of a value stands below the list of values, at the field that the file has it in.
function factsList(kind, row, facts, path) {
  const list = make("dl", { class: "facts" }, facts.map(({ label, text }) => make("div", {}, make("dt", { text: label }), make("dd", { text }))));
  return make("div", {}, list, kind.fields.map(({ key }) => problemSpot(`${path}.${key}`)));
}
