"""Links: only clear links are emphasised, and the title claims no more."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from journal.charts import correlates_chart, links_chart
from journal.charts.axis import steps
from journal.measures.correlates import DRIVERS
from journal.measures.links import LINKS
from tests.charts import frames
from tests.charts.frames import check_drawing, layer

NAMES = {"walk": "Walk by the river", "read": "Read", "swim": "Swim"}
NO_BREAK = "\xa0"


def row(habit: str, lag: int, difference: float | None, *, clear: bool = False, half: float = 0.2) -> dict[str, Any]:
    measured = difference is not None
    return {
        "habit": habit,
        "lag_days": lag,
        "n_done": 200 if measured else 19,
        "n_missed": 100 if measured else 4,
        "mean_done": 3.0 + difference if difference is not None else None,
        "mean_missed": 3.0 if measured else None,
        "difference": difference,
        "superiority": 0.6 if measured else None,
        "p": 0.2 if measured else None,
        "q": 0.4 if measured else None,
        "clear": clear if measured else None,
        "low": difference - half if difference is not None else None,
        "high": difference + half if difference is not None else None,
        "needed": 14,
        "quota": False,
    }


def links(*rows: dict[str, Any]) -> pl.DataFrame:
    return pl.DataFrame(list(rows), schema=LINKS)


def test_clear_links_are_emphasised_and_others_quiet() -> None:
    drawn = links_chart.draw(
        links(
            row("read", 0, 0.05), row("read", 1, -0.1), row("walk", 0, 0.56, clear=True), row("walk", 1, 0.02),
            row("stock", 0, None), row("stock", 1, None),
        ),
        NAMES,
    )  # fmt: skip
    assert drawn.chart().to_dict(validate=True)["layer"]
    assert drawn.title == "Walk by the river goes with higher mood the same day; nothing else is clear"
    for drawing in (drawn.wide, drawn.narrow):
        assert len(layer(drawing, "clear")) == len(layer(drawing, "clear intervals")) == 1
        assert len(layer(drawing, "unclear")) == len(layer(drawing, "intervals")) == 3
        assert len(layer(drawing, "hover")) == 4
        assert [r["text"] for r in layer(drawing, "sizes")] == ["+0.6"]
        assert [r["text"] for r in layer(drawing, "names")] == ["Walk by the river", "Read"]  # clear on top
    assert any("Stock count" not in w and "stock (19 with, 4 without)" in w for w in frames.words(drawn.svg()))
    assert drawn.table.height == 6
    assert drawn.table.row(2, named=True)["habit"] == "Walk by the river"
    hover = next(h for h in frames.hovers(drawn.svg()) if "goes with higher mood" in h)
    assert hover.endswith(f"Difference +0.56, 95{NO_BREAK}% interval +0.36 to +0.76.")
    check_drawing(drawn)


def test_estimates_are_at_their_place_on_the_axis() -> None:
    drawn = links_chart.draw(links(row("walk", 0, 0.5, clear=True), row("read", 0, -0.25)), NAMES)
    at = {r["text"]: r["x"] for r in layer(drawn.wide, "steps") if "text" in r}
    (zero,) = layer(drawn.wide, "zero")
    (clear,), (unclear,) = layer(drawn.wide, "clear"), layer(drawn.wide, "unclear")
    assert zero["x"] == pytest.approx(at["0"])
    unit = (at["+1"] - at["0"]) / 1
    assert (clear["x"] - at["0"]) / unit == pytest.approx(0.5)
    assert (unclear["x"] - at["0"]) / unit == pytest.approx(-0.25)
    (interval,) = layer(drawn.wide, "clear intervals")
    assert ((interval["x"] - at["0"]) / unit, (interval["x2"] - at["0"]) / unit) == pytest.approx((0.3, 0.7))


@pytest.mark.parametrize(
    ("rows", "title"),
    [
        ([], "No habit to compare with mood"),
        ([row("walk", 0, None)], "Too few days to tell what goes with mood"),
        ([row("walk", 0, 0.9)], "No link with mood is clear in these 300 days"),
        ([row("walk", 0, -0.4, clear=True)], "Walk by the river goes with lower mood the same day"),
        (
            [row("walk", 1, 0.4, clear=True), row("swim", 1, 0.5, clear=True)],
            "Swim and Walk by the river go with higher mood the day after",
        ),
        (
            [row(f"h{n}", 0, 0.9 - n / 10, clear=True) for n in range(6)],
            "h0, h1, h2 and h3 go with higher mood the same day; 2 more are clear",
        ),
    ],
)
def test_titles_claim_no_more_than_is_clear(rows: list[dict[str, Any]], title: str) -> None:
    drawn = links_chart.draw(links(*rows), NAMES)
    assert drawn.title == title
    check_drawing(drawn)


def test_an_interval_that_excludes_zero_is_not_yet_a_claim() -> None:
    drawn = links_chart.draw(links(row("walk", 0, 0.5), row("read", 0, 0.0)), NAMES)
    assert drawn.title.startswith("No link")
    assert "A quiet interval beside zero does not hold among so many." in drawn.subtitle


def test_without_intervals_and_with_one_value_and_with_forty() -> None:
    bare = row("walk", 0, 0.0) | {"low": None, "high": None}
    drawn = links_chart.draw(links(bare), NAMES)
    assert not layer(drawn.wide, "intervals")
    check_drawing(drawn)
    names = {f"h{n}": f"A habit with a name that is rather long, number {n}" for n in range(40)}
    many = [row(key, lag, (-1) ** n * n / 20, clear=n % 9 == 8) for n, key in enumerate(names) for lag in (0, 1, 2)]
    drawn = links_chart.draw(links(*many), names)
    assert len(layer(drawn.wide, "hover")) == len(layer(drawn.narrow, "hover")) == 120
    assert set(names.values()) <= set(frames.hovers(drawn.svg("narrow")))
    check_drawing(drawn)


def driver(name: str, correlation: float | None, *, clear: bool = False, n: int = 200) -> dict[str, Any]:
    known = correlation is not None
    return {
        "driver": name, "lag_days": 0, "n": n, "correlation": correlation, "p": 0.01 if known else None,
        "q": 0.02 if known else None, "clear": clear if known else None,
        "low": correlation - 0.1 if correlation is not None else None,
        "high": correlation + 0.1 if correlation is not None else None, "needed": 28,
    }  # fmt: skip


def test_measured_quantities_use_the_same_rows() -> None:
    rows = [driver("high", -0.05), driver("energy", 0.41, clear=True), driver("sleep", None, n=9), driver("rain", None)]
    drawn = correlates_chart.draw(pl.DataFrame(rows, schema=DRIVERS), {"high": "Warmth"}, pairs=20)
    assert drawn.chart().to_dict(validate=True)["layer"]
    assert drawn.title == "Energy went with higher mood the same day; nothing else did"
    assert [r["text"] for r in layer(drawn.wide, "names")] == ["Energy", "Warmth"]
    assert [r["text"] for r in layer(drawn.narrow, "sizes")] == ["+0.41"]
    assert "q of 0.05 or less among all 20 comparisons of these days" in drawn.subtitle
    few = " ".join(r["text"] for r in layer(drawn.narrow, "too few"))
    assert (
        few
        == "Sleep and mood: too little to tell, with 9 days; 28 are needed. Rain and mood: one of them never changes."
    )
    assert drawn.table.get_column("driver").to_list() == ["Warmth", "Energy", "Sleep", "Rain"]
    check_drawing(drawn)


@pytest.mark.parametrize(
    ("rows", "title"),
    [
        ([], "Nothing was measured besides mood"),
        ([driver("energy", None, n=3)], "Too few days to tell what mood moves with"),
        ([driver("energy", 0.3)], "Nothing measured went with mood in these 200 days"),
        ([driver("energy", -0.9, clear=True)], "Energy went with lower mood the same day"),
    ],
)
def test_the_title_names_measured_quantities_only_if_clear(rows: list[dict[str, Any]], title: str) -> None:
    drawn = correlates_chart.draw(pl.DataFrame(rows, schema=DRIVERS), {})
    assert drawn.title == title
    check_drawing(drawn)


def test_every_axis_has_zero() -> None:
    for half in (0.01, 0.2, 0.9, 1.4, 2.2, 3.9):
        drawn = links_chart.draw(links(row("walk", 0, 0.1, half=half), row("walk", 1, 0.1, half=half)), NAMES)
        assert {r["text"] for r in layer(drawn.narrow, "steps") if "text" in r} >= {"0"}
        assert layer(drawn.narrow, "zero")


@pytest.mark.parametrize("span", [(0, 0), (0, 7), (-0.3, 0.74), (0, 1e9), (5, 5), (0, 0.003)])
def test_ticks_cover_the_span(span: tuple[float, float]) -> None:
    ticks = steps(*span)
    assert ticks[0] <= span[0]
    assert ticks[-1] >= span[1]
    assert 2 <= len(ticks) <= 7
    assert ticks == sorted(set(ticks))
