"""The files of an evening that cannot be read, with what that means for the form.

A file with an invalid value is not broken: the value is left out and reported. A broken file has an error of syntax, or
cannot be read at all. Nothing of a broken page is known, so nothing can be saved to it. Of a journal.toml with an error
of syntax ("lines") the valid lines apply. One that cannot be read at all ("settings") leaves habits and hours unasked.
If an earlier state of it stands in, that applies.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from journal.errors import Problem, WriteError
from journal.evening.form_schema import BrokenFile
from journal.folder.page_versions import Base
from journal.folder.reading import Basis
from journal.language.catalogue import N_, _

Part = Literal["today", "tomorrow", "undated", "settings", "lines"]
PARTS: tuple[Part, ...] = ("today", "tomorrow", "undated")

_SAID: dict[Part, str] = {
    "today": N_("Nothing can be saved to it until then. What you write for this day stays in this window."),
    "tomorrow": N_("Nothing can be saved to it until then, and no task can go there."),
    "undated": N_("No task can be taken from it or go there until then."),
    "lines": N_("Its other lines apply. Habits that stand in a broken line are not asked, and stay as they are."),
    "settings": N_(
        "Habits, challenges, hours and what is rated are left out until then, and stay as they are. All else is saved."
    ),
}
_EARLIER = N_("What cannot be read of it applies as it was before, and is asked as before.")


def problem(base: Base) -> Problem | None:
    """Return why a file cannot be read, or None if it can.

    >>> fault = problem(Base("2025-03-13", "2025/2025-03-13.toml", b"mood = 4\\nmemory = "))
    >>> (fault.path, fault.line, problem(Base("2025-03-13", "2025/2025-03-13.toml", None)))
    ('2025/2025-03-13.toml', 2, None)
    """
    try:
        base.values  # noqa: B018 - reads the file
    except WriteError as error:
        return error.problems[0] if error.problems else None
    return None


def is_set(basis: Basis) -> bool:
    """Return whether journal.toml says anything: it can be read, its valid lines apply, or an earlier state does."""
    return bool(basis.broken) or basis.earlier is not None or problem(basis.base) is None


def offers(basis: Basis, bases: Sequence[Base]) -> list[BrokenFile]:
    """Return the broken files of an evening: journal.toml, then the pages in the order of `PARTS`."""
    settings: Part = "lines" if basis.broken or basis.earlier is not None else "settings"
    said = _SAID if basis.earlier is None else _SAID | {"lines": _EARLIER}
    parts: tuple[tuple[Part, Base], ...] = ((settings, basis.base), *zip(PARTS, bases, strict=False))
    return [
        BrokenFile(path=fault.path, part=part, problem=f"{fault}.", said=_(said[part]))
        for part, base in parts
        if (fault := problem(base)) is not None
    ]


def keys(bases: Sequence[Base]) -> frozenset[str]:
    """Return the keys of the broken pages among those of an evening."""
    return frozenset(base.key for base in bases if problem(base) is not None)
