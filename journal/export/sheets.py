"""A5 sheets for a paper notebook at their real size, as a tagged PDF; on A4 two side by side, to cut.

    chosen(book, day, "all", "a5")    the sheets, in order
    make(sheets, "a5")                their PDF, and the missing glyphs

A sheet shows the texts of its day, so sheets are for the owner.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Literal

import msgspec

from journal import Journal
from journal.charts.theme import PAPER
from journal.export import day_sheet, missing_glyphs, month_sheet, sheet_texts, typesetting, year_sheet
from journal.export.day_sheet import DaySheet
from journal.export.month_sheet import MonthSheet
from journal.export.typesetting import Paper, Typeset
from journal.export.year_sheet import YearSheet
from journal.periods import Period, after, month, year

SheetKind = Literal["day", "month", "year", "all"]
PaperSheet = DaySheet | MonthSheet | YearSheet

_DAY = dt.timedelta(days=1)


def month_after(day: dt.date) -> Period:
    """The month of the month sheet: the one after the month of a day."""
    return after(month(day))


def year_of(day: dt.date) -> Period:
    """The year of the year sheet: the year of the next month, so from December on the next year.

    >>> year_of(dt.date(2025, 11, 30)).key, year_of(dt.date(2025, 12, 1)).key
    ('2025', '2026')
    """
    return year(month_after(day).first.year)


def chosen(book: Journal, day: dt.date, kind: SheetKind, paper: Paper) -> list[PaperSheet]:
    """The sheets that follow on a day: of the next day, the next month, and the year of that month.

    On A4 there is also the day after the next one, since an A4 page has two sheets.
    """
    sheets: list[PaperSheet] = []
    if kind in ("day", "all"):
        for nth in range(1, 3 if paper == "a4" else 2):
            sheets += day_sheet.of(book, day + nth * _DAY)
    if kind in ("month", "all"):
        sheets += month_sheet.of(book, month_after(day))
    if kind in ("year", "all"):
        sheets.append(year_sheet.of(book.settings, year_of(day)))
    return sheets


def make(sheets: Sequence[PaperSheet], paper: Paper = "a5") -> Typeset:
    """Typeset sheets, in order."""
    return typesetting.pdf("sheets", lambda missing: data(sheets, paper, missing))


def file_name(day: dt.date, kind: SheetKind) -> str:
    """The name of the file: the period of the sheet; for all sheets, the next day.

    >>> day = dt.date(2025, 12, 31)
    >>> [file_name(day, kind) for kind in ("day", "month", "year", "all")]
    ['page-2026-01-01.pdf', 'page-2026-01.pdf', 'page-2026.pdf', 'pages-2026-01-01.pdf']
    """
    following = (day + _DAY).isoformat()
    names = {"month": month_after(day).key, "year": year_of(day).key}
    return f"pages-{following}.pdf" if kind == "all" else f"page-{names.get(kind, following)}.pdf"


def data(sheets: Sequence[PaperSheet], paper: Paper, missing: frozenset[str]) -> dict[str, Any]:
    """The input of the template, with all texts ready to typeset."""
    title = ", ".join(_title(sheet) for sheet in sheets)
    return {
        "paper": paper,
        "language": typesetting.language(),
        "texts": sheet_texts.fixed(),
        "title": missing_glyphs.plain(title, missing),
        "colours": {name: getattr(PAPER, name) for name in ("ink", "muted", "line", "accent", "wash", "day", "quiet")},
        "sheets": [
            {
                "kind": sheet.__struct_config__.tag,
                "words": missing_glyphs.everywhere(
                    lambda text: missing_glyphs.settable(text, missing), msgspec.to_builtins(sheet.words)
                ),
                "alt": missing_glyphs.plain(sheet.alt, missing),
                "ornament": sheet.ornament,
                "drawing": sheet.drawing(),
            }
            for sheet in sheets
        ],
        "unset": missing_glyphs.settable(missing_glyphs.warning(missing), frozenset()),
    }


def _title(sheet: PaperSheet) -> str:
    """The title of a sheet in the metadata of the file.

    >>> from journal.periods import year
    >>> from journal.settings import Settings
    >>> _title(year_sheet.of(Settings(title="Small", places=()), year(2026)))
    '2026'
    """
    return f"{sheet.words.title} {sheet.words.date}" if isinstance(sheet, DaySheet) else sheet.words.title
