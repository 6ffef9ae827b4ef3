"""The building blocks of a page as HTML: header, card, heading, list, table, figure, problems, empty state.

Each function escapes its text and returns `Html`. Nothing here depends on marimo; a notebook wraps the whole page in
`mo.Html` once.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence

import polars as pl

from journal.charts.figure import Figure
from journal.errors import Problem
from journal.language.catalogue import N_, _, _n
from journal.sections import column_headings
from journal.sections.escape import Html, join, tag
from journal.wording import dates, numbers

NAV = (
    ("day", N_("Day")), ("evening", N_("Evening")), ("week", N_("Week")), ("month", N_("Month")), ("year", N_("Year")),
    ("settings", N_("Settings")),
)  # fmt: skip


_REVIEWS = ("week", "month", "year")


def header(current: str, journal: str, *, today: dt.date, on: dt.date) -> Html:
    """The word mark, links to the other pages at the day `on`, the date, and a link to the manual.

    The manual opens in a new tab, so that nothing typed on this page is lost. The title, her own text, is of no known
    language (HTML standard, 3.2.6.2), as everywhere where an element holds her text alone.
    """
    links = [
        tag("a", _(name), href=f"../{page}/?on={on.isoformat()}", aria_current="page" if page == current else None)
        for page, name in NAV
    ]
    # A review is all of it one main landmark (`journal.pages.sight_frame`), and a header in there is no banner.
    return tag(
        "div" if current in _REVIEWS else "header",
        tag("p", "Duskbook", class_="wordmark"),
        tag("nav", *links, aria_label=_("Pages")),
        tag(
            "p",
            tag("span", journal, class_="journal-title", lang=""),
            tag("span", dates.day(today), tag("span", f" {today.year}", class_="year"), class_="date"),
            class_="whereabouts",
        ),
        tag("a", _("Manual"), href="../manual/", target="_blank", rel="noopener", class_="manual-link"),
        class_="masthead",
    )


def heading(title: object, *below: object) -> Html:
    """The heading of the page, with optional lines below it."""
    return tag("div", tag("h1", title), *[tag("p", line, class_="quiet") for line in below if line], class_="opening")


def card(title: object, *inside: object, note: object = None, kind: str = "") -> Html:
    """A card with a heading. `note` is a quiet line below the heading."""
    below = tag("p", note, class_="quiet note") if note else None
    return tag("section", tag("h2", title), below, *inside, class_=f"card {kind}".rstrip())


def columns(*columns: Iterable[object]) -> Html:
    """Columns side by side, or below each other on a narrow screen."""
    return tag("div", *[tag("div", *parts, class_="column") for parts in columns], class_="columns")


def empty(text: object) -> Html:
    """The text of an empty state."""
    return tag("p", text, class_="empty")


def lines(rows: Iterable[tuple[object, object]], *, nothing: object, kind: str = "") -> Html:
    """A list of lines, each with a quiet text at its end. With kind "stacked" the quiet text goes below the line."""
    items = [
        tag("li", tag("span", text, class_="said"), tag("span", aside, class_="aside") if aside else None)
        for text, aside in rows
    ]
    return tag("ul", *items, class_=f"lines {kind}".rstrip()) if items else empty(nothing)


def dated(rows: Iterable[tuple[object, object]], *, nothing: object) -> Html:
    """A list of lines, each with its day in front."""
    items = [tag("li", tag("span", when, class_="when"), tag("span", text, class_="said")) for when, text in rows]
    return tag("ul", *items, class_="dated") if items else empty(nothing)


def by_day(days: Iterable[tuple[dt.date, Sequence[object]]], *, nothing: object, year: bool = False) -> Html:
    """Lines to read again, grouped by day."""
    groups = [
        tag(
            "div",
            tag("h3", dates.day(date, year=year)),
            *[tag("p", text) for text in texts],
            class_="read-again",
        )
        for date, texts in days
    ]
    return join(groups) if groups else empty(nothing)


def table(caption: object, head: Sequence[object], rows: Iterable[Sequence[object]], *, kind: str = "") -> Html:
    """A table with a caption. The first cell of a row is its heading; None shows as a dash."""
    body = []
    for first, *others in rows:
        cells = [tag("td", "–" if cell is None else cell) for cell in others]
        body.append(tag("tr", tag("th", first, scope="row"), *cells))
    return tag(
        "div",
        tag(
            "table",
            tag("caption", caption),
            tag("thead", tag("tr", *[tag("th", cell, scope="col") for cell in head])),
            tag("tbody", *body),
            class_=kind or None,
        ),
        class_="tabular",
        tabindex="0",
        role="group",
        aria_label=caption,
    )


def details(summary: object, *inside: object, open_: bool = False) -> Html:
    """A closed section that the reader can open."""
    return tag("details", tag("summary", summary), *inside, open=open_)


def read_only(reason: str) -> Html:
    """Why nothing can be saved from a page, above all else; empty without a reason."""
    told = _("Nothing can be saved")
    return tag("section", tag("p", reason), class_="problems", aria_label=told) if reason else Html("")


MOST_PROBLEMS = 50
"""Problems told on a page. A folder that was copied wrongly may have ten thousand, some 200 bytes of HTML each."""


def problems(problems: Sequence[Problem], reason: str = "") -> Html:
    """The problems of the journal's files with their places and remedies; empty if there are none.

    `reason` says why nothing can be saved at all, as for `read_only`.
    """
    if not problems:
        return read_only(reason)
    items = [
        tag(
            "li",
            tag("code", f"{p.path}:{p.line}:{p.column}" if p.line else p.path),
            tag("p", f"{p.where}: " if p.where else None, _told(p)),
            tag("p", f"{p.remedy[:1].upper()}{p.remedy[1:]}.", class_="quiet"),
        )
        for p in problems[:MOST_PROBLEMS]
    ]
    more = len(problems) - len(items)
    summary = _n(
        "{count} place in the journal's files could not be read as meant",
        "{count} places in the journal's files could not be read as meant",
        len(problems),
    )
    below = _("Everything else is shown. Mend the file and this page follows.")
    mend = tag("p", tag("a", _("Mend journal.toml on the settings page"), href="../settings/"))
    in_settings = any(problem.path == "journal.toml" for problem in problems)
    rest = (
        tag("p", _('{count} more are told by "duskbook check".', count=numbers.number(more)), class_="quiet")
        if more
        else None
    )
    parts = (tag("p", below, class_="quiet"), mend if in_settings else None, tag("ol", *items), rest)
    told = tag("section", details(summary, *parts), class_="problems", aria_label=_("Problems in the files"))
    return join([read_only(reason), told])


def _told(problem: Problem) -> str:
    return _("expected {expected}, got {typed}", expected=problem.expected, typed=problem.got)


def figure(drawn: Figure, *, kind: str = "", headed: bool = True) -> Html:
    """A chart as a card: title, subtitle, a wide and a narrow drawing, and its numbers in a closed section.

    Without `headed` the title is left out, for a chapter that has it as its heading.
    """
    return tag(
        "section",
        tag("h2", drawn.title) if headed else None,
        tag("p", drawn.subtitle, class_="quiet note") if drawn.subtitle else None,
        tag("div", Html(drawn.svg("wide")), class_="drawing wide"),
        tag("div", Html(drawn.svg("narrow")), class_="drawing narrow"),
        details(_("The numbers"), of_frame(drawn.title, drawn.table)),
        class_=f"card figure {kind}".rstrip(),
        id=drawn.key,
    )


def of_frame(caption: str, frame: pl.DataFrame) -> Html:
    """The numbers of a drawing as a table, headed by the names of the columns."""
    head = [column_headings.heading(column) for column in frame.columns]
    codes = [column_headings.words(column) for column in frame.columns]
    rows = ([_cell(value, words) for value, words in zip(row, codes, strict=True)] for row in frame.rows())
    return table(caption, head, rows)


def _cell(value: object, words: Mapping[str, str]) -> object:
    return words.get(value, value) if isinstance(value, str) else cell(value)


def cell(value: object) -> object:
    """A value of a figure's table as text. Numbers have three decimals, so that shares are exact to a thousandth.

    >>> cell(True), cell(0.61371), cell(dt.date(2025, 3, 4)), cell(None)
    ('yes', '0.614', '4 March 2025', '–')
    """
    if value is None:
        return "–"
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, float):
        return numbers.number(value, 3)
    return dates.day(value, weekday=False, year=True) if isinstance(value, dt.date) else value
