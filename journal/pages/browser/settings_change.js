// What a save would change: the lines of journal.toml that go and that come, with those around them.

import { make } from "./elements.js";
import { _, _n, N_ } from "./texts.js";

const SIGNS = { added: ["+", N_("line {number} comes: ")], removed: ["−", N_("line {number} goes: ")], same: ["", ""] };

export function changeView({ lines }) {
  const heading = make("h2", { text: _("What would change in journal.toml") });
  if (!lines.length) return make("section", { class: "change card", tabindex: "-1", "aria-label": _("What would change") }, heading, make("p", { class: "empty", text: _("Nothing: the file says all of it already.") }));
  const rows = lines.map(({ kind, number, text }) => {
    if (kind === "gap") return make("li", { class: "gap", "aria-label": _("Lines left out") }, make("span", { text: "⋯", "aria-hidden": "true" }));
    const [sign, words] = SIGNS[kind];
    return make(
      "li", { class: kind }, make("span", { class: "sign", "aria-hidden": "true", text: sign }),
      make("span", { class: "number", "aria-hidden": "true", text: String(number) }),
      words && make("span", { class: "unseen", text: _(words, { number }) }), make("code", { text: text || " " }),
    );
  });
  const count = (kind) => lines.filter((line) => line.kind === kind).length;
  const comes = _n("{count} line comes (+)", "{count} lines come (+)", count("added"));
  const goes = _n("{count} goes (−)", "{count} go (−)", count("removed"));
  const said = _("{comes}, {goes}. All others stay as they are.", { comes, goes });
  return make("section", { class: "change card", tabindex: "-1", "aria-label": _("What would change") }, heading, make("p", { class: "hint", text: said }), make("ol", { class: "changed-lines", tabindex: "0", "aria-label": _("Lines of journal.toml") }, rows));
}
