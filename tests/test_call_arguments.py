"""What a caller in Python or Jupyter may pass, what is said of anything else, and how journals and figures show."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import altair
import pytest
from marimo._session.state.serialize import get_session_cache_file

import journal
from journal import periods
from journal.charts import mood_line, offline_charts
from journal.errors import UsageError
from journal.measures import completion, mood, streaks
from journal.opened import Journal
from tests import api_page
from tests.documents import PROJECT

DAY = dt.date(2025, 12, 31)


@pytest.fixture(scope="module")
def year() -> Journal:
    return journal.open(PROJECT / "example_year", today="2025-12-31")


def test_a_day_may_be_its_text(year: Journal) -> None:
    same = journal.open(PROJECT / "example_year", today=DAY)
    assert year.today == same.today == DAY
    assert year.as_of("2025-06-01").today == dt.date(2025, 6, 1)
    by_text: Any = "2025-12-31"
    assert streaks.streaks(year.occasions, today=by_text).equals(streaks.streaks(year.occasions, today=DAY))


def test_a_period_may_be_its_name(year: Journal) -> None:
    month, week = periods.month(dt.date(2025, 3, 1)), year.period("2025-W11")
    assert week == periods.parse("2025-W11", week_starts=year.settings.week_starts)
    for whole in (month, week):
        for measure in (year.rates, year.changes, year.lived_in, year.states_in, year.running_at_end, year.ticked):
            assert measure(whole.key).equals(measure(whole)), measure
    name: Any = "2025-03"
    trailing = mood.trailing(year.tables.days)
    drawn = [mood_line.draw(trailing, year.settings.mood, one).title for one in (name, month)]
    assert drawn[0] == drawn[1]
    spans: Any = {"before": "2025-02", "after": ("2025-03-01", "2025-03-31")}
    dates: Any = {"before": (dt.date(2025, 2, 1), dt.date(2025, 2, 28)), "after": (month.first, month.last)}
    assert completion.changes(year.occasions, **spans).equals(completion.changes(year.occasions, **dates))


ANY: Any = None
AFTER = (
    "after must be a first and a last day, got the date 2025-12-31; "
    'write e.g. ("2025-03-01", "2025-03-31") or "2025-03"'
)
WRONG: dict[str, tuple[Callable[[Journal], object], type[Exception], str]] = {
    "a number for a day": (
        lambda year: journal.open(year.folder, today=ANY or 2025),  # type: ignore[arg-type]
        TypeError,
        'today must be a day, got the number 2025; write e.g. "2025-03-14" or datetime.date(2025, 3, 14)',
    ),
    "a moment for a day": (
        lambda year: year.as_of(dt.datetime(2025, 3, 14, 9, tzinfo=dt.UTC)),
        TypeError,
        "today must be a day, got a moment; write today.date()",
    ),
    "no such day": (
        lambda year: year.as_of("2025-02-30"),
        UsageError,
        'today: there is no day "2025-02-30"; write e.g. "2025-03-14"',
    ),
    "no path": (
        lambda year: journal.open(5, today=DAY),  # type: ignore[arg-type]
        TypeError,
        'folder must be a path, got int; write e.g. journal.open("my-journal", today="2025-12-31")',
    ),
    "a day for a period": (
        lambda year: year.rates(DAY),  # type: ignore[arg-type]
        TypeError,
        'period must be a period, got the date 2025-12-31; write e.g. "2025-03", "2025-W11" or "2025"',
    ),
    "a week for a function that knows no journal": (
        lambda year: completion.changes(year.occasions, before="2025-W10", after="2025-W11"),  # type: ignore[arg-type]
        UsageError,
        'before: the days of a week depend on the journal; write its own, journal.period("2025-W10")',
    ),
    "a day for two": (
        lambda year: completion.changes(year.occasions, before="2025-02", after=DAY),  # type: ignore[arg-type]
        TypeError,
        AFTER,
    ),
    "an option that is none": (
        lambda year: streaks.streaks(year.occasions, today=DAY, blank="sometimes"),  # type: ignore[arg-type]
        UsageError,
        'blank: there is no "sometimes"; write "breaks" or "bridges"',
    ),
    "an option with a slip": (
        lambda year: completion.rates(year.occasions, by="weeks", week_starts="monday"),  # type: ignore[arg-type]
        UsageError,
        'by: there is no "weeks"; did you mean "week"?',
    ),
    "a journal for a frame": (
        lambda year: streaks.streaks(year, today=DAY),  # type: ignore[arg-type]
        TypeError,
        "occasions must be a polars DataFrame, got Journal; write one of the journal's tables",
    ),
    "a lazy frame": (
        lambda year: streaks.streaks(year.occasions.lazy(), today=DAY),  # type: ignore[arg-type]
        TypeError,
        "occasions must be a polars DataFrame, got LazyFrame; write occasions.collect()",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_anything_else_names_the_argument_and_what_to_write(year: Journal, case: str) -> None:
    call, kind, words = WRONG[case]
    with pytest.raises(kind) as error:
        call(year)
    assert str(error.value) == words
    assert isinstance(error.value, TypeError | ValueError)


def test_a_journal_its_tables_and_a_figure_say_what_they_are_in_a_line(year: Journal) -> None:
    """A journal printed 20 kB, a figure its whole drawing."""
    figure = mood_line.draw(mood.trailing(year.tables.days), year.settings.mood, periods.month(DAY))
    assert repr(year).endswith("example_year' as of 2025-12-31: 360 pages of days from 2025-01-01 on, 0 problems>")
    assert repr(figure) == f"<Figure 'mood-line': {figure.title}>"
    for one in (year, year.tables, figure):
        assert len(repr(one)) < 300 and "\n" not in repr(one)


def test_a_chart_shows_itself_without_a_network(year: Journal) -> None:
    """Altair's default is a page that loads Vega from a network. What is made of a chart is shown alike."""
    altair.renderers.enable("default")
    offline_charts.show_without_network.cache_clear()
    chart = mood_line.draw(mood.trailing(year.tables.days), year.settings.mood, periods.month(DAY)).chart()
    for one in (chart, chart.properties(width=300)):
        shown = one._repr_mimebundle_()
        content = (shown[0] if isinstance(shown, tuple) else shown) or {}
        assert set(content) == {"image/svg+xml"}
        assert "//" not in str(content).replace("http://www.w3.org/", "")
    altair.renderers.enable("default")
    mood_line.draw(mood.trailing(year.tables.days), year.settings.mood, periods.month(DAY)).chart()
    assert altair.renderers.active == "default", "one that is enabled afterwards stays"


@pytest.mark.parametrize("notebook", sorted((PROJECT / "notebooks").glob("*.py")), ids=lambda path: path.stem)
def test_nothing_of_a_page_is_left_beside_its_notebook(notebook: Path) -> None:
    """marimo keeps what an edited or exported notebook shows in `__marimo__/session`: a file has that name."""
    kept = get_session_cache_file(notebook)
    with pytest.raises((FileExistsError, NotADirectoryError)):
        kept.parent.mkdir(parents=True, exist_ok=True)
    assert (notebook.parent / "__marimo__").is_file()


def test_the_page_of_functions_is_that_of_the_code() -> None:
    """If it is not, `python -m tests.test_documents` writes it."""
    assert api_page.FILE.read_text(encoding="utf-8") == api_page.page()


def test_every_public_function_says_what_it_takes_and_gives() -> None:
    for package in (journal.measures, journal.charts):
        named = dict(api_page.functions(package))
        assert len(named) > 15
        for name, function in named.items():
            assert len(function.__doc__ or "") > 80, name
