"""What stands for marimo while a first sight is drawn: importing marimo takes longer than drawing does.

    mo = SightMarimo(folder)        # what a notebook gets for `import marimo as mo`
    mo.state(0), mo.notebook_dir()

An element has the HTML that marimo gives it, as far as a first sight needs it (`sight_cells`), and shows itself to
marimo as HTML. Whatever else a notebook takes of marimo is marimo's own, which is imported then.
"""

from __future__ import annotations

import html
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from journal.pages import marimo_library


class SightHtml:
    """HTML as the output of a cell."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __str__(self) -> str:
        return self.text

    def _mime_(self) -> tuple[str, str]:
        return "text/html", self.text


class SightElement(SightHtml):
    """A control or a widget with its value. Nobody uses it: what is chosen waits for marimo's (`browser/takeover.js`).

    >>> SightElement("text", None, label="Find").text
    "<marimo-ui-element><marimo-text data-label='&quot;Find&quot;'></marimo-text></marimo-ui-element>"
    """

    def __init__(self, kind: str, value: object, **data: object) -> None:
        values = "".join(f" data-{name.replace('_', '-')}='{html.escape(json.dumps(of))}'" for name, of in data.items())
        super().__init__(f"<marimo-ui-element><marimo-{kind}{values}></marimo-{kind}></marimo-ui-element>")
        self.value = value


class SightState:
    """A state of a notebook: called, it gives its value."""

    def __init__(self, value: Any) -> None:
        self.value = value

    def __call__(self) -> Any:
        return self.value

    def set(self, value: Any) -> None:
        """Set the value, or apply a function to it. No cell runs again for it."""
        self.value = value(self.value) if callable(value) else value


class SightMarimo:
    """marimo, for the cells of a notebook in `folder`."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def notebook_dir(self) -> Path:
        """The folder of the notebook."""
        return self._folder

    def state(self, value: Any, **_: object) -> tuple[SightState, Callable[[Any], None]]:
        """A state and its setter.

        >>> count, change = SightMarimo(Path()).state(2)
        >>> change(lambda before: before + 1)
        >>> count()
        3
        """
        state = SightState(value)
        return state, state.set

    def __getattr__(self, name: str) -> Any:
        return getattr(marimo_library.imported(), name)
