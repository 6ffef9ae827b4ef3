// What a save would change: the lines of journal.toml that go and that come, with those around them.

import { make } from "./elements.js";

const SIGNS = { added: ["+", "comes"], removed: ["−", "goes"], same: ["", ""] };

export function changeView({ lines }) {
  const heading = make("h2", { text: "What would change in journal.toml" });
  if (!lines.length) return make("section", { class: "change card", tabindex: "-1", "aria-label": "What would change" }, heading, make("p", { class: "empty", text: "Nothing: the file says all of it already." }));
  const rows = lines.map(({ kind, number, text }) => {
    if (kind === "gap") return make("li", { class: "gap", "aria-label": "Lines left out" }, make("span", { text: "⋯", "aria-hidden": "true" }));
    const [sign, word] = SIGNS[kind];
    return make(
      "li", { class: kind }, make("span", { class: "sign", "aria-hidden": "true", text: sign }),
      make("span", { class: "number", "aria-hidden": "true", text: String(number) }),
      word && make("span", { class: "unseen", text: `line ${number} ${word}: ` }), make("code", { text: text || " " }),
    );
  });
  const count = (kind) => lines.filter((line) => line.kind === kind).length;
  const said = `${count("added")} ${count("added") === 1 ? "line comes" : "lines come"} (+), ${count("removed")} ${count("removed") === 1 ? "goes" : "go"} (−). All others stay as they are.`;
  return make("section", { class: "change card", tabindex: "-1", "aria-label": "What would change" }, heading, make("p", { class: "hint", text: said }), make("ol", { class: "changed-lines", tabindex: "0", "aria-label": "Lines of journal.toml" }, rows));
}
