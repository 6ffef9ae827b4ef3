"""The broken places of journal.toml on the settings page: their lines, with those around them, and the save of one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING

import msgspec

from journal.errors import JournalError, Problem, UsageError, WriteError
from journal.folder import mending, reading
from journal.folder.page_versions import Base
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.form_values import Trouble, fault_message
from journal.saving.save_pages import SaveResult, packed
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

AROUND = 2  # lines shown before and after a broken place


class NumberedLine(msgspec.Struct, frozen=True):
    """A line of the file with its number, from 1."""

    number: int
    text: str


class BrokenLines(msgspec.Struct, frozen=True, kw_only=True):
    """Lines that do not apply, from `first` to `last`, with a message that says why and how to mend them."""

    first: int
    last: int
    text: str
    message: str
    before: list[NumberedLine]
    after: list[NumberedLine]


def broken(book: Journal, base: Base) -> list[BrokenLines]:
    """Return the broken places of a version of journal.toml, each with the lines around it.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine\\nclock = 12')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 13))
    >>> for place in broken(book, book.files.basis.base): print(place.first, place.text, place.after)
    1 title = "Spine [NumberedLine(number=2, text='clock = 12')]
    >>> folder.cleanup()
    """
    places = reading.basis_of(base, book.folder).broken
    lines = base.text.splitlines() if places else []
    numbered = [NumberedLine(i + 1, line) for i, line in enumerate(lines)]
    return [
        BrokenLines(
            first=place.first,
            last=place.last,
            text=place.text,
            message=fault_message(place.problem),
            before=numbered[max(0, place.first - 1 - AROUND) : place.first - 1],
            after=numbered[place.last : place.last + AROUND],
        )
        for place in places
    ]


def mend(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Replace the lines of a broken place: {"base" of the offer, "first", "last", "text"}. Empty text takes them out.

    All other bytes stay, and the old ones are kept in the page's history. The field of a problem is "broken.FIRST".
    """
    field = ""
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("the form has sent no lines; open the page anew"))
        (base,) = base_pages.submitted(raw.get("base"), book.files.pages)
        places = reading.basis_of(base, book.folder).broken
        place = next((one for one in places if (one.first, one.last) == (raw.get("first"), raw.get("last"))), None)
        text = raw.get("text")
        if place is None or not isinstance(text, str):
            raise UsageError(_("these lines are not broken any more; open the page anew"))
        field = f"broken.{place.first}"
        mended = mending.mend(book.folder, base, place, text, now=now, files=book.files)
    except WriteError as error:
        told = [_told(problem) for problem in error.problems]
        return SaveResult(saved=False, problems=[Trouble(field, message) for message in told or [f"{error}."]])
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble(field, f"{error}.")])
    at = dates.clock(now.hour * 60 + now.minute, book.settings.clock)
    undo = packed([(mended.before, mended.base)]) if mended.before is not None else ""
    return SaveResult(saved=True, said=_("Mended and saved to journal.toml at {time}.", time=at), undo=undo)


def _told(problem: Problem) -> str:
    return _(
        "Line {number}: expected {expected}, got {typed}; {remedy}.",
        number=problem.line,
        expected=problem.expected,
        typed=problem.got,
        remedy=problem.remedy,
    )
