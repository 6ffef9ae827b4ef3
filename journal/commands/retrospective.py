"""What stands behind `duskbook export retrospective`: a year for one reader, in one form, put in place."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Callable, Collection
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click
import polars as pl

from journal.errors import UsageError
from journal.export import placing
from journal.export.audience import Audience, seen_by
from journal.export.contents import contents
from journal.export.placing import Placed

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.document import Document

Form = Literal["html", "pdf", "png"]
Paper = Literal["a5", "a4"]
Progress = Callable[[str], None]


def make(
    opened: Journal,
    *,
    year: int | None,
    form: Form,
    reader: Audience,
    named: Collection[str],
    paper: Paper | None,
    place: Path | None,
) -> list[Placed]:
    """Make the year for a reader and put it in place. Nothing is written before all of it has been made.

    Raises UsageError for a paper that no page goes on and for a habit that does not exist; ExportError where it could
    not be written.
    """
    if paper and form != "pdf":
        raise UsageError(f'--paper goes with "--format pdf"; {form} has no paper')
    chosen = year or default_year(opened.tables.days, opened.today)
    name = file_name(chosen, form, reader)
    try:
        document = contents(seen_by(opened, reader, named=named), chosen, _said("Counting"))
        if form == "png":
            return placing.put_all(place or Path(name), _pictures(document))
        data = _html(document) if form == "html" else _pdf(document, paper or "a5")
    finally:
        _said("")("")
    return [placing.put(place / name if place and place.is_dir() else place or Path(name), data)]


def file_name(year: int, form: Form, reader: Audience) -> str:
    """What a file or a folder of pictures is called: the year and who it is for, and nothing of what is in it.

    >>> file_name(2025, "html", "me"), file_name(2025, "png", "friend")
    ('retrospective-2025.html', 'retrospective-2025-for-friend-pictures')
    """
    stem = f"retrospective-{year}" + ("" if reader == "me" else f"-for-{reader}")
    return f"{stem}-pictures" if form == "png" else f"{stem}.{form}"


def default_year(days: pl.DataFrame, today: dt.date) -> int:
    """The year of the newest page; in January the one before, if it has a page. In: `Tables.days` (date, written).

    >>> days = pl.DataFrame({"date": [dt.date(2025, 3, 14), dt.date(2026, 1, 4)], "written": True})
    >>> default_year(days, dt.date(2026, 1, 5)), default_year(days, dt.date(2026, 2, 1))
    (2025, 2026)
    """
    years = set(days.filter("written", pl.col("date") <= today)["date"].dt.year())
    if today.month == 1 and today.year - 1 in years:
        return today.year - 1
    return max(years, default=today.year)


def _html(document: Document) -> bytes:
    from journal.export import html  # noqa: PLC0415  one form needs nothing of the others

    return html.html(document, _said("Drawing"))


def _pdf(document: Document, paper: Paper) -> bytes:
    from journal.export import book, letters  # noqa: PLC0415

    _said("Setting")("the book")
    made = book.make(document, paper=paper)
    _warn(letters.told(made.missing))
    return made.data


def _pictures(document: Document) -> dict[str, bytes]:
    from journal.export import letters, pictures  # noqa: PLC0415

    made = pictures.pictures(document, _said("Drawing"))
    _warn(letters.told(made.missing))
    if not made.files:
        click.echo(f"Nothing was written in {document.year} that a picture could show; no file was made.")
    return made.files


def _said(doing: str) -> Progress:
    """Tells on one line of a terminal what is being done, and nothing elsewhere; an empty text clears the line."""

    def say(what: str) -> None:
        if sys.stderr.isatty():
            click.echo(f"\r\x1b[K{doing} {what}".rstrip() if what else "\r\x1b[K", err=True, nl=False)

    return say


def _warn(told: str) -> None:
    if told:
        _said("")("")
        click.echo(f"duskbook: {told}", err=True)
