"""What the pages show: marimo's elements, or what stands for them while a first sight is drawn.

    html("<p>…</p>"), button(...), dropdown(...), text_field(...), chapters("month", "…")
    as_html(part)                   # any of them, a form, or another element of marimo, as HTML

So only a session of a page needs marimo, whose import takes longer than a first sight.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from typing import Any

from journal.pages import marimo_library, sight_context
from journal.pages.sight_elements import SightElement, SightHtml


def html(text: str) -> Any:
    """HTML as the output of a cell."""
    return SightHtml(text) if sight_context.is_drawing() else marimo_library.imported().Html(text)


def button(label: str, on_click: Callable[[Any], None], *, every_press: bool = False) -> Any:
    """A button. With `every_press` it also handles presses that come while the page still renders the last one."""
    if sight_context.is_drawing():
        return SightElement("button", None, label=_escaped(label))
    if every_press:
        from journal.pages.press_button import PressButton  # noqa: PLC0415 - imports marimo

        return PressButton(label=label, on_click=on_click)
    return marimo_library.imported().ui.button(label=label, on_click=on_click)


def dropdown(options: Sequence[str], *, value: str, label: str, on_change: Callable[[str], None]) -> Any:
    """A list of which one option is chosen."""
    if sight_context.is_drawing():
        return SightElement("dropdown", value, initial_value=[value], label=_escaped(label), options=list(options))
    return marimo_library.imported().ui.dropdown(
        list(options), value=value, label=label, allow_select_none=False, on_change=on_change
    )


def text_field(*, label: str, placeholder: str, debounce: int) -> Any:
    """A line of text. It takes effect `debounce` milliseconds after the last key."""
    if sight_context.is_drawing():
        return SightElement("text", "", label=_escaped(label), placeholder=placeholder)
    return marimo_library.imported().ui.text(label=label, placeholder=placeholder, debounce=debounce)


def chapters(page: str, journal: str) -> Any:
    """The chapters that are open on a page: `value["opened"]`."""
    if sight_context.is_drawing():
        opened: list[str] = []
        return sight_widget("chapters", {"opened": opened, "journal": journal, "page": page})
    from journal.pages.chapters_widget import OpenChapters  # noqa: PLC0415 - imports anywidget

    return marimo_library.imported().ui.anywidget(OpenChapters(page, journal=journal))


def sight_widget(module: str, values: dict[str, Any]) -> SightElement:
    """A widget of the first sight that is being drawn: its module in `journal/pages/browser/`, and what that reads."""
    return SightElement("anywidget", values, model_id=sight_context.made(module, values))


def is_html(part: object) -> bool:
    """Whether an output of a cell is HTML, without a look at what else it might be."""
    if isinstance(part, SightHtml) or hasattr(part, "_display_"):
        return True
    return "marimo" in sys.modules and isinstance(part, marimo_library.imported().Html)


def as_html(part: Any) -> str:
    """A form or an element as HTML."""
    shown = part._display_() if hasattr(part, "_display_") else part
    if isinstance(shown, SightHtml):
        return shown.text
    text: str = marimo_library.imported().as_html(shown).text
    return text


def _escaped(label: str) -> str:
    """A label as the HTML that marimo makes of it. It has no Markdown, and none of the user's own text."""
    return label.replace("&", "&amp;").replace("<", "&lt;")
