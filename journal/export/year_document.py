"""A year of a journal as a document: its chapters in order. Chapters without content are omitted."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from journal import Journal
from journal.export.chapters import (
    habits_of_year,
    methods,
    months,
    overview,
    sleep_and_hours,
    tasks_and_links,
    trials_by_lot,
)
from journal.export.day_photos import PhotoFiles
from journal.export.document import Block, Chapter, Document, Words
from journal.export.year_data import YearData
from journal.language.catalogue import _
from journal.wording import dates

ChapterBuilder = tuple[str, str, Callable[[], list[Block]]]


def contents(
    book: Journal,
    year: int,
    progress: Callable[[str], None] = lambda chapter: None,
    photos: PhotoFiles | None = None,
) -> Document:
    """The document of a year.

    In: a journal as its reader may see it; any year; `progress`, called with the title of each chapter before it is
    made; where its pictures are, without which it has none. Out: a Document without months outside the
    journal and without empty chapters. A year without pages has one chapter that says so. Days after the journal's
    today are ignored.

    >>> import datetime as dt, tempfile, pathlib, journal
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text('title = "Spine and thread"')
    ...     _ = pathlib.Path(folder, "2025-03-14.toml").write_text('memory = "Sewn."')
    ...     book = journal.open(folder, today=dt.date(2025, 3, 14), cache=False)
    >>> [chapter.key for chapter in contents(book, 2025).chapters]
    ['year', '2025-03', 'counting']
    >>> contents(book, 2031).chapters[0].blocks[0].paragraphs
    ('Nothing was written in 2031.',)
    """
    subject = YearData(book, year, photos)
    chapters: list[Chapter] = []
    for key, title, make in _chapters(subject) if subject.written else ():
        progress(title)
        blocks = make()
        if blocks:
            chapters.append(Chapter(key=key, title=title, blocks=tuple(blocks)))
    if chapters:
        keys = frozenset(chapter.key for chapter in chapters)
        title = _("How it is counted")
        progress(title)
        chapters.append(Chapter(key="counting", title=title, blocks=tuple(methods.blocks(subject, keys))))
    else:
        nothing = Words(title="", paragraphs=(_("Nothing was written in {year}.", year=year),))
        chapters.append(Chapter(key="year", title=_("The year"), blocks=(nothing,)))
    return Document(title=book.settings.title, subtitle=_subtitle(subject), year=year, chapters=tuple(chapters))


def _chapters(subject: YearData) -> Iterator[ChapterBuilder]:
    yield "year", _("The year"), lambda: overview.blocks(subject)
    for month in subject.months:
        yield month.key, dates.title(month), lambda month=month: months.blocks(subject, month)  # type: ignore[misc]
    yield "habits", _("Habits"), lambda: habits_of_year.blocks(subject)
    yield "sleep", _("Sleep"), lambda: sleep_and_hours.sleep(subject)
    yield "hours", _("Hours"), lambda: sleep_and_hours.spent_hours(subject)
    yield "tasks", _("Tasks"), lambda: tasks_and_links.tasks(subject)
    yield "links", _("What goes with mood"), lambda: tasks_and_links.links(subject)
    yield "lot", _("By lot"), lambda: trials_by_lot.blocks(subject)
    yield "back", _("Looking back"), lambda: months.reflection(subject, subject.year, "")


def _subtitle(subject: YearData) -> str:
    """The year; for a year that is not complete, the range of its days in the journal."""
    first = max(subject.first, min(subject.tables.opened, subject.until))
    if not subject.written or (first, subject.until) == (subject.first, subject.last):
        return subject.year.key
    return dates.stretch(first, subject.until)
