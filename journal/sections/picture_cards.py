"""The pictures of a period as HTML: by day in a week and a month, by month in a year. Frames in, `Html` out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import polars as pl

from journal.errors import PictureError
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.periods import Period
from journal.pictures import drawn_picture, picture_files
from journal.sections.cards import empty
from journal.sections.escape import Html, tag
from journal.sections.page_chapters import PageChapter, told
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

PictureAddress = Callable[[Path, str, int], str]
"""Function from a journal, a path of a picture in it, and the pixels of its longer side to the address of an image."""


def chapter(book: Journal, period: Period, address: PictureAddress) -> PageChapter:
    """The chapter of the pictures of a week, a month or a year."""
    rows = book.tables.pictures.filter(pl.col("date").is_between(period.first, period.last))
    said = _("No picture was added")
    if rows.height:
        days = rows.get_column("date").n_unique()
        added = _n("{count} picture", "{count} pictures", rows.height)
        said = _n("{pictures} of {count} day", "{pictures} of {count} days", days, pictures=added)
    return told("pictures", _("Pictures"), said, lambda: pictures(rows, period.kind, book.folder, address))


def pictures(rows: pl.DataFrame, kind: str, folder: Path, address: PictureAddress) -> Html:
    """Pictures with their days and captions, grouped by month for a year. In: rows of `Tables.pictures`.

    A picture that cannot be shown is a sentence. One without a caption says so, since nothing of it is read aloud.
    """
    if rows.is_empty():
        return empty(_("No picture was added. A day has its own on its page and its evening."))
    if kind != "year":
        return _shown(rows, folder, address, drawn_picture.PAGE)
    parts: list[Html] = []
    for (month,), group in rows.group_by(pl.col("date").dt.month(), maintain_order=True):
        counted = _n("{count} picture", "{count} pictures", group.height)
        heading = f"{dates.month_name(int(str(month)))}, {counted}"
        inside = _shown(group, folder, address, drawn_picture.SMALL)
        parts.append(tag("details", tag("summary", heading), inside, open=not parts))
    return tag("div", *parts, class_="months")


def _shown(rows: pl.DataFrame, folder: Path, address: PictureAddress, longest: int) -> Html:
    size = "album small" if longest == drawn_picture.SMALL else "album"
    return tag("ul", *(_picture(row, folder, address, longest) for row in rows.iter_rows(named=True)), class_=size)


def _picture(row: Row, folder: Path, address: PictureAddress, longest: int) -> Html:
    day, file, caption = dates.day(row["date"]), row["file"], row["caption"]
    try:
        picture_files.look(folder / file)
        alt = caption or _("A picture of {day}, without a caption", day=day)
        shown = tag("img", src=address(folder, file, longest), alt=alt, loading="lazy")
    except PictureError as error:
        why = _("{file} cannot be shown: {problem}.", file=file.rpartition("/")[2], problem=error)
        shown = tag("p", why, class_="not-shown")
    below = [tag("span", f"{day} ", class_="label"), tag("span", caption) if caption else _without_caption(row["date"])]
    return tag("li", tag("figure", shown, tag("figcaption", *below)))


def _without_caption(day: dt.date) -> Html:
    return tag("a", _("No caption yet"), href=f"../day/?on={day.isoformat()}", class_="quiet")
