"""Which layout a sheet in a picture has: that of the present journal.toml, or of an earlier state of it."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from journal import Journal, periods
from journal.folder import history, reading
from journal.folder.file_names import SETTINGS_NAME
from journal.folder.page_versions import SETTINGS, Base
from journal.paper import day_lookup, month_layout, month_plan, year_layout
from journal.paper.corner_search import FoundSheet
from journal.paper.layout import SheetLayout
from journal.paper.sheet_code import PaperKind
from journal.periods import Period
from journal.settings import Settings

MOST_STATES = 60
"""Most earlier states of journal.toml that are tried, the latest first."""


def layout(book: Journal, sheet: FoundSheet) -> SheetLayout | None:
    """The layout of a sheet, None if no state of this journal has one with its digest."""
    kind, first, part = sheet.key
    for settings in _settings(book):
        then = msgspec.structs.replace(book, settings=settings)
        if kind == "day":
            found = day_lookup.layout(then, sheet)
            if found is not None:
                return found
            continue
        for one in layouts(then, kind, first_period(book, kind, sheet)):
            if one.part == part and one.first == first and sheet.has_digest(one.digest):
                return one
    return None


def layouts(book: Journal, kind: PaperKind, period: Period) -> Iterator[SheetLayout]:
    """The layouts of the sheets of a period, one for each part."""
    if kind == "month":
        columns = month_plan.columns(book, period)
        parts = month_layout.parts(columns)
        prompted = month_layout.is_prompted(book.settings, period)
        for nth, own in enumerate(parts):
            yield month_layout.of(own, period, nth, prompted=prompted and nth == len(parts) - 1)
    elif kind == "year":
        yield year_layout.of(period, year_layout.swatch_steps(book.settings.mood))


def first_period(book: Journal, kind: PaperKind, sheet: FoundSheet) -> Period:
    """The period of a sheet."""
    return periods.containing(sheet.key[1], kind, week_starts=book.settings.week_starts)


def other_scales(settings: Settings, of_sheet: SheetLayout) -> list[str]:
    """The scales that had other steps when a sheet was printed: 4 of 5 is not 4 of 10.

    >>> from journal.periods import year
    >>> from journal.settings import Scale
    >>> of_five = year_layout.of(year(2025), (1, 2, 3, 4, 5))
    >>> other_scales(Settings(title="Small", places=(), mood=Scale(low=1, high=3)), of_five)
    ['mood']
    """
    found = []
    for name, scale in (("mood", settings.mood), ("energy", settings.energy)):
        fields = (name, year_layout.KEY) if name == "mood" else (name,)
        printed = {box.value for box in of_sheet.boxes if box.field in fields and box.value is not True}
        if printed and printed != set(month_plan.steps(scale)):
            found.append(name)
    return found


def _settings(book: Journal) -> Iterator[Settings]:
    """The settings of a journal, then the earlier ones, the latest first; none twice."""
    yield book.settings
    tried = {book.files.basis.base.data}
    for state in reversed(history.states(book.folder, SETTINGS)[-MOST_STATES:]):
        if state.data is not None and state.data not in tried:
            tried.add(state.data)
            yield reading.basis_of(Base(SETTINGS, SETTINGS_NAME, state.data), book.folder).settings
