"""The cells of a notebook as HTML that needs no frame: marimo's elements become native controls and places for forms.

The elements around a cell, and the names of a control, are those that marimo gives them, so one style sheet is for
both. A control of the first sight keeps what is chosen or pressed until the frame's control is there
(`browser/takeover.js`).
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable, Mapping
from typing import Any

from journal.pages import plain_forms
from journal.pages.sight_context import Sight
from journal.sections.escape import Html, tag

_ELEMENT = re.compile(
    r"<marimo-ui-element[^>]*><marimo-([a-z]+)((?:\s[\w-]+='[^']*')*)\s*></marimo-\1></marimo-ui-element>"
)
_ATTRIBUTE = re.compile(r"\sdata-([\w-]+)='([^']*)'")
_TAG = re.compile(r"<[^>]*>")


class SightCells:
    """The cells of one page. `forms` has the values of its forms by their modules, in the order of the page."""

    def __init__(self, sight: Sight) -> None:
        self.sight = sight
        self.forms: dict[str, Any] = {}
        self._controls = 0
        self._has_plain = False

    def cell(self, text: str) -> str:
        """A cell that shows `text`, the HTML of its output."""
        inside = _ELEMENT.sub(self._native, text)
        area = f'<div class="output-area"><div class="output">{inside}</div></div>'
        return f'<div class="marimo-cell published">{area}</div>'

    def _native(self, match: re.Match[str]) -> str:
        kind, values = match[1], {name: json.loads(html.unescape(text)) for name, text in _ATTRIBUTE.findall(match[2])}
        if kind == "anywidget":
            known = self.sight.values(values["model-id"])
            if known is None:
                raise ValueError("a widget that the first sight does not know")
            self.forms[known[0]] = known[1]
            plain = plain_forms.plain(*known, note=not self._has_plain)
            self._has_plain = self._has_plain or plain is not None
            return str(tag("div", plain or "", class_="early", data_form=known[0]))
        self._controls += 1
        return str(tag("span", _CONTROLS[kind](values, f"early-{self._controls}"), class_="early"))


def _button(values: Mapping[str, Any], _: str) -> Html:
    return tag("button", tag("span", _plain(values["label"])), type="button", data_testid="marimo-plugin-button")


def _dropdown(values: Mapping[str, Any], id_: str) -> Html:
    chosen = values["initial-value"]
    options = [tag("option", name, value=name, selected=name in chosen) for name in values["options"]]
    return _labelled(values, id_, tag("select", *options, id=id_, data_testid="marimo-plugin-dropdown"))


def _text(values: Mapping[str, Any], id_: str) -> Html:
    hint = values.get("placeholder")
    field = tag("input", type="text", id=id_, placeholder=hint, data_testid="marimo-plugin-text-input")
    return _labelled(values, id_, tag("div", field))


_CONTROLS: Mapping[str, Callable[[Mapping[str, Any], str], Html]] = {
    "button": _button,
    "dropdown": _dropdown,
    "text": _text,
}


def _labelled(values: Mapping[str, Any], id_: str, control: Html) -> Html:
    return tag("div", tag("div", tag("label", _plain(values["label"]), for_=id_)), control, class_="mo-label")


def _plain(label: str) -> str:
    """The text of a label, which marimo has rendered as HTML."""
    return html.unescape(_TAG.sub("", label))
