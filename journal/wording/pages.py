"""Names of the pages of a journal, and of who wrote one."""

from __future__ import annotations

from journal import periods
from journal.language.catalogue import N_, _
from journal.settings import Weekday
from journal.wording import dates

_FIXED = {"undated": N_("Tasks without a day"), "settings": N_("Settings")}
_WRITERS = {
    "log": N_("by the command log"),
    "import": N_("by an import"),
    "merge": N_("by a merge"),
    "history": N_("by an earlier state brought back"),
    "restore": N_("by a restore"),
    "upgrade": N_("by an upgrade"),
    "settings": N_("by the settings page"),
    "day": N_("by the day page"),
    "evening": N_("by the evening page"),
    "week": N_("by the week page"),
    "month": N_("by the month page"),
    "year": N_("by the year page"),
}


def title(key: str, *, week_starts: Weekday) -> str:
    """A page by its key.

    >>> [title(key, week_starts="monday") for key in ("2025-03-14", "2025-W11", "2025-03", "undated")]
    ['Friday 14 March 2025', 'Week 11, 10 to 16 March 2025', 'March 2025', 'Tasks without a day']
    """
    if key in _FIXED:
        return _(_FIXED[key])
    span = periods.parse_name(key).period(week_starts=week_starts)
    return dates.day(span.first, year=True) if span.kind == "day" else dates.title(span)


def writer(by: str | None) -> str:
    """Who wrote a state of a page.

    >>> writer("evening"), writer("elsewhere"), writer(None)
    ('by the evening page', 'written elsewhere, as in an editor', '')
    """
    if by in (None, "elsewhere"):
        return _("written elsewhere, as in an editor") if by else ""
    return _(_WRITERS[by]) if by in _WRITERS else _("by the {page} page", page=by)
