"""Builders of small frames, and readers of drawings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any
from xml.etree import ElementTree

import polars as pl

from journal.charts import kept_drawings
from journal.charts.canvas import Drawing
from journal.charts.figure import Figure
from journal.measures import states as measured
from journal.measures.completion import rates
from journal.measures.streaks import streaks
from journal.tables import MARKS

SVG = "{http://www.w3.org/2000/svg}"
DAY = dt.timedelta(days=1)


def marks(habit: str, first: dt.date, letters: str, **more: Any) -> pl.DataFrame:
    """Rows of a habit, one letter per day: d done, n not done, r rest, s logged without a mark, b not logged,
    - not due, e done though not due, 7 the number 7."""
    rows = []
    for i, letter in enumerate(letters):
        mark = {"d": "done", "e": "done", "n": "not done", "r": "rest"}.get(letter)
        number = letter.isdigit()
        rows.append(
            {
                "habit": habit,
                "date": first + i * DAY,
                "logged": letter != "b",
                "asked": letter != "b",
                "due": None if "per" in more else letter not in "-e",
                "times": None,
                "per": None,
                "target": None,
                "aim": None,
                "mark": "number" if number else mark,
                "value": float(letter) if number else None,
                **more,
            }
        )
    return pl.DataFrame(rows, schema=MARKS)


def states(frames: Iterable[pl.DataFrame], today: dt.date) -> pl.DataFrame:
    return measured.states(pl.concat([pl.DataFrame(schema=MARKS), *frames]), today=today)


def measures(stated: pl.DataFrame, today: dt.date, by: Any = "month") -> tuple[pl.DataFrame, pl.DataFrame]:
    occasions = measured.occasions(stated, today=today, week_starts="monday")
    return rates(occasions, by=by, week_starts="monday"), streaks(occasions, today=today)


def days(first: dt.date, moods: Iterable[float | None], logged: bool | None = None) -> pl.DataFrame:
    values = list(moods)
    return pl.DataFrame(
        {
            "date": [first + i * DAY for i in range(len(values))],
            "logged": [v is not None if logged is None else logged for v in values],
            "mood": values,
            "energy": values,
        },
        schema={"date": pl.Date, "logged": pl.Boolean, "mood": pl.Float64, "energy": pl.Float64},
    )


def hours(rows: Iterable[tuple[dt.date, str, str, int, int]]) -> pl.DataFrame:
    schema = {
        "date": pl.Date,
        "layer": pl.String,
        "category": pl.String,
        "start_minute": pl.Int32,
        "end_minute": pl.Int32,
    }
    return pl.DataFrame(list(rows), schema=schema, orient="row")


def layer(drawing: Drawing, name: str) -> list[dict[str, Any]]:
    """The data rows of all layers with a name."""
    rows: list[dict[str, Any]] = []
    for part in drawing["layer"]:
        if part.get("name", "").split(" #")[0] == name:
            rows += part["data"]["values"]
    return rows


def tree(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def words(svg: str) -> list[str]:
    """All texts of a drawing."""
    return [text.text or "".join(t.tail or "" for t in text) for text in tree(svg).iter(f"{SVG}text")]


def hovers(svg: str) -> list[str]:
    return [title.text or "" for title in tree(svg).iter(f"{SVG}title")]


def check_drawing(figure: Figure) -> None:
    """Assert what must hold for every figure."""
    assert figure.title
    assert figure.alt
    for size in ("wide", "narrow"):
        svg = figure.svg("wide" if size == "wide" else "narrow")
        root = tree(svg)
        assert root.get("role") == "img"
        assert root.get("aria-label") == figure.alt
        assert "width" not in root.attrib
        left, top, width, height = map(float, (root.get("viewBox") or "").split())
        assert (left, top) == (0, 0)
        assert kept_drawings.is_plain(svg)
        assert 0 < width <= (990 if size == "wide" else 352)
        assert height > 0
        for word in ("NaN", "undefined", "null", "Infinity", "None"):
            assert word not in svg
        ids = [e.get("id") for e in root.iter() if e.get("id")]
        assert len(ids) == len(set(ids))
        sizes = [float((e.get("font-size") or "0").removesuffix("px")) for e in root.iter(f"{SVG}text")]
        assert min(sizes, default=11) >= 11
