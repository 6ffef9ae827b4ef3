"""A form as an anywidget, for the session of a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from journal.pages import page_sessions
from journal.pages.browser_modules import BROWSER, widget_source


class FormWidget(anywidget.AnyWidget):
    """The widget of a form: the name of its module in `journal/pages/browser/`, and who gets its messages."""

    # The text. If it were a path, anywidget's watch of that file would hold every form as long as the process runs.
    _css = (BROWSER / "forms.css").read_text(encoding="utf-8")
    offer = traitlets.Dict().tag(sync=True)
    journal = traitlets.Unicode().tag(sync=True)

    def __init__(
        self, module: str, receive: Callable[[object, Any, object], None], *, offer: dict[str, Any], journal: str
    ) -> None:
        self._esm = widget_source(module)  # anywidget turns it into a trait
        super().__init__(offer=offer, journal=journal)
        self.on_msg(receive)
        page_sessions.close_at_end(self)
