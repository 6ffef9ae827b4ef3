"""Names of the pages of a journal, and of who wrote one."""

from __future__ import annotations

from journal import periods
from journal.settings import Weekday
from journal.wording import dates

_FIXED = {"undated": "Tasks without a day", "settings": "Settings"}
_WRITERS = {
    "log": "the command log", "import": "an import", "merge": "a merge", "history": "an earlier state brought back",
    "restore": "a restore", "upgrade": "an upgrade", "settings": "the settings page",
}  # fmt: skip


def title(key: str, *, week_starts: Weekday) -> str:
    """A page by its key.

    >>> [title(key, week_starts="monday") for key in ("2025-03-14", "2025-W11", "2025-03", "undated")]
    ['Friday 14 March 2025', 'Week 11, 10 to 16 March 2025', 'March 2025', 'Tasks without a day']
    """
    if key in _FIXED:
        return _FIXED[key]
    span = periods.parse_name(key).period(week_starts=week_starts)
    return dates.day(span.first, year=True) if span.kind == "day" else dates.title(span)


def writer(by: str | None) -> str:
    """Who wrote a state of a page.

    >>> writer("evening"), writer("elsewhere"), writer(None)
    ('by the evening page', 'written elsewhere, as in an editor', '')
    """
    if by in (None, "elsewhere"):
        return "written elsewhere, as in an editor" if by else ""
    return f"by {_WRITERS.get(by, f'the {by} page')}"
