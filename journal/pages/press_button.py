"""A button of marimo's that handles every press."""

from __future__ import annotations

from typing import Any

import marimo as mo


class PressButton(mo.ui.button):
    """A button that handles every press.

    The browser sends the total count of presses, and marimo passes on the latest count only. A second press while the
    page still renders the first would be lost. So the handler runs once for each press since the last count.
    """

    _pressed = 0

    def _convert_value(self, value: Any) -> Any:
        since, self._pressed = max(1, value - self._pressed) if value else 1, value or 0
        result = None
        for _press in range(since):
            result = super()._convert_value(value)
        return result
