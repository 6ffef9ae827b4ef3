"""Search results, and lines of earlier years, as a page shows them."""

from __future__ import annotations

import datetime as dt

import msgspec
import polars as pl

from journal import periods
from journal.sections import search_cards
from journal.settings import Settings
from journal.tables import build, record
from tests.journals import of_tables
from tests.sections.test_escape import Reader

EMPTY = Settings(title="Empty", places=())
LINES = {"date": pl.Date, "kind": pl.String, "position": pl.Int32, "text": pl.String}


def lines(*rows: tuple[str, str, str]) -> pl.DataFrame:
    written = [(dt.date.fromisoformat(day), kind, i, text) for i, (day, kind, text) in enumerate(rows)]
    return pl.DataFrame(written, schema=LINES, orient="row")


def shown(html: str) -> list[str]:
    """The lines of a card, each with its day, as text."""
    return [Reader(item).text for item in html.split("<li>")[1:]]


def test_matches_are_marked_newest_first_and_typed_html_has_no_effect() -> None:
    written = lines(
        ("2024-05-01", "gratitude", "Čopič and <b>copic</b>."), ("2025-03-14", "memory", "No brush."),
        ("2025-03-14", "note", "Copičev ::brush:: <img src=x>"),
    )  # fmt: skip
    html = search_cards.matches(written, " ČOPIC\t")
    assert shown(html) == ["14 March 2025Note Copičev ::brush:: <img src=x>", "1 May 2024Čopič and <b>copic</b>."]
    assert html.count("<mark>") == 3
    assert "<mark>Copič</mark>ev" in html
    assert "2 lines of gratitude, memories and notes, newest first." in Reader(html).text
    assert "older" not in Reader(html).text
    assert "img" not in {name for name, _ in Reader(html).elements}
    hostile = "<script>alert(1)</script>"
    assert "script" not in {name for name, _ in Reader(search_cards.matches(written, hostile)).elements}
    assert hostile in Reader(search_cards.matches(written, hostile)).text


def test_an_empty_search_is_empty_and_a_search_without_matches_has_a_line() -> None:
    written = lines(("2025-03-14", "memory", "No brush."))
    assert search_cards.matches(written, " \n") == ""
    assert "“glue”No line of this journal has it." in Reader(search_cards.matches(written, "glue")).text
    assert "No line of this journal has it." in Reader(search_cards.matches(lines(), "glue")).text


def test_of_many_matches_the_newest_are_shown_and_the_rest_counted() -> None:
    days = pl.date_range(dt.date(2025, 1, 1), dt.date(2025, 2, 21), eager=True)
    html = search_cards.matches(lines(*((str(day), "memory", f"Paper {day}.") for day in days)), "paper")
    assert len(days) == search_cards.SHOWN + 2
    text = Reader(html).text
    assert "52 lines of gratitude, memories and notes, newest first. The newest 50 are shown; 2 are older." in text
    assert [line[:14] for line in (shown(html)[0], shown(html)[-1])] == ["21 February 20", "3 January 2025"]


def test_a_week_over_new_year_has_its_days_of_earlier_years() -> None:
    written = lines(
        ("2024-12-31", "memory", "Old year."), ("2025-01-01", "gratitude", "New year."), ("2025-01-05", "note", "Late"),
        ("2024-01-04", "memory", "Frost."), ("2025-12-31", "memory", "Of the week itself."),
    )  # fmt: skip
    book = of_tables(msgspec.structs.replace(build(record([]), EMPTY, dt.date(2026, 1, 4)), lines=written), EMPTY)
    chapter = search_cards.earlier_years(book, periods.parse("2026-W01", week_starts="monday"))
    assert chapter.sentence == "3 lines on these days in earlier years"
    html = chapter.draw()
    assert Reader(html).text == (
        "1 year before, 2 lines"
        "Tuesday 31 December 2024To remember Old year.Wednesday 1 January 2025New year."
        "2 years before, 1 lineThursday 4 January 2024To remember Frost."
    )
    assert html.count("<details open>") == 1
    none = search_cards.earlier_years(book, periods.parse("2024-W01", week_starts="monday"))
    assert none.sentence == "No line stands on the days of this week in earlier years"
    assert Reader(none.draw()).text == f"{none.sentence}."
