"""The browser's modules as one: a page asks for one file, not for a hundred.

    bundle(texts, ["evening", "day"], "takeover", styles="...")

Each module keeps a scope of its own, in the order of the imports. The whole exports `forms`, the default exports of the
forms by name, `styles`, and the exports of one more module.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping

_IMPORT = re.compile(r'^import \{([^}]*)\} from "\./(\w+)\.js";$', re.MULTILINE)
_EXPORT = re.compile(r"^export ((?:async )?(?:function|const|class) (\w+))", re.MULTILINE)
_AWAITS = re.compile(r"^(const .* = )?await ", re.MULTILINE)
_DEFAULT = re.compile(r"^export default ", re.MULTILINE)


def bundle(texts: Mapping[str, str], forms: Iterable[str], also: str, *, styles: str) -> str:
    """One module of all that are needed. `texts` are the modules by file name.

    >>> first = 'import { one as b } from "./c.js";\\nexport default { b };\\n'
    >>> texts = {"a.js": first, "c.js": "export const one = 1;\\n"}
    >>> print(bundle(texts, ["a"], "c", styles="p {}"))
    const m_c = (() => {
    const one = 1;
    return { one };
    })();
    const m_a = (() => {
    const { one: b } = m_c;
    const default_ = { b };
    return { default_ };
    })();
    export const { one } = m_c;
    export const forms = { "a": m_a.default_ };
    export const styles = "p {}";
    <BLANKLINE>

    Raises ValueError for modules that import each other, KeyError for one that is missing.
    """
    forms = list(forms)
    parts: dict[str, str] = {}
    for name in (also, *forms):
        _place(name, texts, parts, ())
    exported = ", ".join(name for _, name in _EXPORT.findall(texts[f"{also}.js"]))
    named = ", ".join(f"{json.dumps(name)}: m_{name}.default_" for name in forms)
    ends = f"export const {{ {exported} }} = m_{also};\nexport const forms = {{ {named} }};\n"
    return "".join(parts.values()) + ends + f"export const styles = {json.dumps(styles)};\n"


def _place(name: str, texts: Mapping[str, str], parts: dict[str, str], above: tuple[str, ...]) -> None:
    """Add a module to the parts, after those that it imports."""
    if name in parts:
        return
    if name in above:
        raise ValueError(f"{name}.js imports itself by way of others")
    text = texts[f"{name}.js"]
    for _, other in _IMPORT.findall(text):
        _place(other, texts, parts, (*above, name))
    names = [name for _, name in _EXPORT.findall(text)]
    text = _IMPORT.sub(lambda match: f"const {{{match[1].replace(' as ', ': ')}}} = m_{match[2]};", text)
    text = _EXPORT.sub(r"\1", text)
    if _DEFAULT.search(text):
        names.append("default_")
        text = _DEFAULT.sub("const default_ = ", text)
    opening = "await (async () => {" if _AWAITS.search(text) else "(() => {"
    parts[name] = f"const m_{name} = {opening}\n{text}return {{ {', '.join(names)} }};\n}})();\n"
