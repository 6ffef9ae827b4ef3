"""The order of the keys of journal.toml: that of the file that `duskbook start` writes."""

from __future__ import annotations

from journal.folder import toml_format
from journal.folder.faults import Key
from journal.folder.page_versions import SETTINGS
from journal.folder.toml_format import Rank
from journal.settings import WEEKDAYS, Prompts, Scale

ORDER = (
    "format", "title", "language", "week_starts", "clock", "temperature", "blank", "unmarked", "pictures", "calendars",
    "day", "places", "mood", "energy", "categories", "hours", "habits", "challenges", "routines", "rests", "trials",
    "prompts", "lines",
)  # fmt: skip

ORDERS_WITHIN: dict[str, tuple[str, ...]] = {
    "day": ("turns", "gratitude_lines", "ranked_tasks"),
    "places": ("key", "name", "latitude", "longitude", "timezone"),
    "mood": Scale.__struct_fields__,
    "energy": Scale.__struct_fields__,
    "categories": ("key", "name", "colour", "sleep", "work"),
    "hours": ("usual", *WEEKDAYS),
    "habits": ("key", "name", "every", "times", "per", "from", "until", "target", "unit", "aim"),
    "challenges": ("key", "name", "from", "until", "prompts"),
    "routines": ("title", "every", "from", "until", "estimate"),
    "rests": ("from", "until", "habits", "reason"),
    "trials": (
        "key",
        "question",
        "habit",
        "outcome",
        "lag",
        "from",
        "days",
        "block",
        "washout",
        "seed",
        "plan",
        "looked",
        "stopped",
        "interrupted",
    ),
    "prompts": Prompts.__struct_fields__,
    "lines": ("stop_words",),
}


def rank_of(key: str) -> Rank:
    """Return the order of a file's keys: of journal.toml, or of a page."""
    return rank if key == SETTINGS else toml_format.rank


def rank(at: Key) -> int | None:
    """Return the position of a key among its siblings, from 0, or None if it has no fixed position.

    >>> rank(("clock",)), rank(("habits", 3, "from")), rank(("hours", "usual", "sleep")), rank(("mine",))
    (4, 5, None, None)
    """
    names = [part for part in at if isinstance(part, str)]
    if not 1 <= len(names) <= 2:
        return None
    order = ORDER if len(names) == 1 else ORDERS_WITHIN.get(names[0], ())
    return order.index(names[-1]) if names[-1] in order else None
