"""The year as one HTML file with inline styles and drawings, without script or external resources.

It opens from the disk in any browser, follows the system's light or dark mode, and prints. Its content security policy
forbids every request, so that even an escaping mistake could not leak text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import jinja2
from markupsafe import Markup

from journal.charts import theme
from journal.charts.figure import Figure, Size
from journal.export import day_photos
from journal.export.document import Block, Chapter, DayPhoto, Document
from journal.export.formats import ExportOutput, Progress
from journal.language.catalogue import _
from journal.language.spoken import spoken
from journal.sections import cards, column_headings
from journal.sections.escape import showable
from journal.wording import dates

if TYPE_CHECKING:
    from journal.export.typesetting import Paper

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
"""Content security policy: only inline styles, which the drawings need too."""

_TEMPLATE, _STYLE = "retrospective.html.jinja", "retrospective.css"


class HtmlTable(NamedTuple):
    """The table of a figure as text; `numeric` are its number columns."""

    head: list[str]
    rows: list[list[object]]
    numeric: list[int]


def html(document: Document, progress: Callable[[str], None] = lambda chapter: None) -> bytes:
    """The document as an HTML file. The same document gives the same bytes.

    `progress` is called with the title of each chapter before it is drawn.

    >>> from journal.export.document import Words
    >>> one = Chapter(key="year", title="The year", blocks=(Words(title="", paragraphs=("<b>Sewn</b> & bound.",)),))
    >>> page = html(Document(title="Spine", subtitle="2025", year=2025, chapters=(one,))).decode()
    >>> page.splitlines()[0], "<p>&lt;b&gt;Sewn&lt;/b&gt; &amp; bound.</p>" in page
    ('<!DOCTYPE html>', True)
    """

    def blocks(chapter: Chapter) -> Iterator[tuple[str, Block]]:
        progress(chapter.title)
        return ((type(block).__name__.lower(), block) for block in chapter.blocks)

    template = _environment().get_template(_TEMPLATE)
    return template.render(document=document, blocks=blocks, texts=_texts(), language=spoken().code).encode()


def write(document: Document, _paper: Paper, progress: Progress) -> ExportOutput:
    """The format "html" of a retrospective."""
    return ExportOutput(html(document, lambda chapter: progress(_("Drawing {chapter}", chapter=chapter))))


def _texts() -> dict[str, str]:
    """The texts of the template."""
    return {
        "skip": _("Skip to the first chapter"),
        "chapters": _("Chapters"),
        "numbers": _("The numbers"),
        "no_picture": _(day_photos.CANNOT_SHOW),
    }


@cache
def _environment() -> jinja2.Environment:
    loader = jinja2.PackageLoader("journal.export")
    environment = jinja2.Environment(
        loader=loader,
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        finalize=_shown,
        keep_trailing_newline=True,
    )
    style = loader.get_source(environment, _STYLE)[0]
    environment.globals |= {
        "policy": POLICY,
        "style": Markup(theme.css_variables() + "\n" + style),
        "drawing": _drawing,
        "photo_url": _photo_url,
        "full_day": dates.day,
        "tabled": as_table,
        "day": dates.day_of_month,
    }
    return environment


def _shown(value: object) -> object:
    """The value of a template expression. jinja escapes it afterwards unless it is marked as HTML."""
    if isinstance(value, Markup | jinja2.Undefined):
        return value
    return showable(str(value))


def _drawing(figure: Figure, size: Size) -> Markup:
    return Markup(figure.svg(size))


def _photo_url(photo: DayPhoto) -> str:
    """The address of a picture within the file, empty if it cannot be shown."""
    data = day_photos.jpeg(photo, day_photos.SCREEN)
    return day_photos.data_url(data) if data else ""


def as_table(figure: Figure) -> HtmlTable:
    """The table of a figure as text, as on its card."""
    table = figure.table
    codes = [column_headings.words(column) for column in table.columns]
    return HtmlTable(
        head=[column_headings.heading(column) for column in table.columns],
        rows=[[_cell(*pair) for pair in zip(row, codes, strict=True)] for row in table.rows()],
        numeric=[position for position, dtype in enumerate(table.dtypes) if dtype.is_numeric() and position],
    )


def _cell(value: object, words: Mapping[str, str]) -> object:
    return words.get(value, value) if isinstance(value, str) else cards.cell(value)
