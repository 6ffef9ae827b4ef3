"""The chapters that are open on a page of a week, month or year, as a trait that the notebook's cells follow.

The widget has no content of its own. It watches the chapters on the page, remembers in the browser which of them are
open, and brings a reader to a chapter from the list.
"""

from __future__ import annotations

import anywidget
import traitlets

from journal.pages import page_sessions
from journal.pages.browser_modules import widget_source


class OpenChapters(anywidget.AnyWidget):
    """The keys of the open chapters. `journal` and `page` name what the browser remembers them for."""

    _module = "chapters"
    opened = traitlets.List(traitlets.Unicode()).tag(sync=True)
    journal = traitlets.Unicode().tag(sync=True)
    page = traitlets.Unicode().tag(sync=True)

    def __init__(self, page: str, *, journal: str = "") -> None:
        self._esm = widget_source(self._module)  # anywidget turns it into a trait
        super().__init__(page=page, journal=journal)
        page_sessions.close_at_end(self)
