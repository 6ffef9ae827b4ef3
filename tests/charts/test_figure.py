"""Rendering of a drawing to SVG, PNG and altair."""

from __future__ import annotations

import datetime as dt
import json
import re

import altair as alt
import polars as pl
import pytest

from journal import periods
from journal.charts import figure as drawing
from journal.charts import kept_drawings, month_grid
from journal.charts.canvas import Canvas, Drawing
from journal.charts.figure import Figure, painted, svg
from journal.charts.theme import DUSK, PAGE, PAPER
from tests.charts import frames

TODAY = dt.date(2025, 4, 2)
MARCH = periods.parse("2025-03", week_starts="monday")
NASTY = "<script>alert(\"1\")</script> & 'two' ![](http://x.example/a) \x07 var(--dusk-ink)"


def figure(name: str = "Walk", key: str = "grid") -> Figure:
    stated = frames.states([frames.marks("walk", MARCH.first, "ddnrb" + "d" * 26)], TODAY)
    rates, streaks = frames.measures(stated, TODAY)
    return month_grid.draw(stated, rates, streaks, MARCH, {"walk": name}, today=TODAY, key=key)


def clipped() -> Drawing:
    """A drawing with a clip path and a gradient, which get ids from Vega."""
    frame = pl.DataFrame({"x": [1, 2], "y": [1, 3]})
    gradient = alt.Gradient(  # type: ignore[no-untyped-call]
        gradient="linear", stops=[alt.GradientStop(color="red", offset=0), alt.GradientStop(color="blue", offset=1)]
    )
    area = alt.Chart(frame).mark_area(clip=True, color=gradient).encode(x="x:Q", y="y:Q")
    return alt.layer(area).properties(width=100, height=100).to_dict()


def test_user_text_is_kept_and_escaped() -> None:
    drawn = figure(NASTY)
    typed = NASTY.replace("\x07", "\ufffd")  # replaced, because XML does not allow it
    for text in (drawn.svg("wide"), drawn.svg("narrow"), drawn.image(format="svg").decode()):
        assert "<script" not in text
        assert not any("href" in name for e in frames.tree(text).iter() for name in e.attrib)
        assert any(typed in hover for hover in frames.hovers(text))
    assert typed in (frames.tree(drawn.svg()).get("aria-label") or "")


def test_only_colours_of_the_palette_are_used() -> None:
    drawn = figure()
    on_page, light, dark = drawn.svg(), drawn.svg(palette=PAPER), drawn.svg(palette=DUSK)
    assert f'fill="{PAGE.accent}"' in on_page
    assert "var(" not in light + dark
    known = {c.lower() for _, c in PAPER.named()}
    used = {c.lower() for c in re.findall(r'(?:fill|stroke)="([^"]+)"', light)}
    assert used <= known | {"none", "transparent"}
    assert light != dark
    assert light.replace(PAPER.accent, "*").count("*") == on_page.replace(PAGE.accent, "*").count("*")


def test_a_habit_named_like_a_colour_keeps_its_name() -> None:
    assert PAGE.ink in frames.words(figure(PAGE.ink).svg(palette=PAPER))
    like_a_mark = f'a fill="{PAGE.ink}" b'
    drawn = figure(like_a_mark).svg(palette=PAPER)
    assert f"{like_a_mark}, 3 March: not done" in frames.hovers(drawn)
    assert like_a_mark in (frames.tree(drawn).get("aria-label") or "")


def test_bytes_do_not_depend_on_earlier_drawings() -> None:
    kept_drawings.keep_in(None)
    first = svg(clipped(), key="a", alt_text="area")
    drawing._finished.cache_clear()
    for key in ("b", "c"):
        svg(clipped(), key=key, alt_text="area")
    assert svg(clipped(), key="a", alt_text="area") == first


def test_ids_are_unique_to_their_figure_and_match_the_references() -> None:
    drawn = svg(clipped(), key="area", alt_text="area")
    ids = {e.get("id") for e in frames.tree(drawn).iter() if e.get("id")}
    assert len(ids) == 2
    assert all(str(element_id).startswith("area-") for element_id in ids)
    assert set(re.findall(r"url\(#([^)]+)\)", drawn)) == ids


def test_assistive_technology_sees_one_image() -> None:
    root = frames.tree(figure().svg())
    assert root.get("role") == "img"
    assert all(child.get("aria-hidden") == "true" for child in root)
    inside = [e for e in root.iter() if e is not root]
    assert not any("role" in e.attrib or "aria-label" in e.attrib for e in inside)
    assert "max-width:" in (root.get("style") or "")


def test_marks_have_hover_labels() -> None:
    hovers = frames.hovers(figure().svg())
    assert "Walk, 3 March: not done" in hovers
    assert "Walk, 4 March: rest" in hovers
    assert "Walk, 5 March: not recorded" in hovers
    assert sum(hover.startswith("Walk, ") for hover in hovers) == 31


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_an_image_contains_its_title(size: str) -> None:
    drawn = figure()
    png = drawn.image(size="narrow" if size == "narrow" else "wide", scale=1)
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    assert png == drawn.image(size="narrow" if size == "narrow" else "wide", scale=1)
    picture = drawn.image(DUSK, "svg", size="narrow" if size == "narrow" else "wide").decode()
    assert drawn.title in " ".join(frames.words(picture))
    assert DUSK.paper in picture
    assert frames.tree(picture).get("width")
    shown = drawn._repr_mimebundle_()
    assert shown["image/svg+xml"].startswith("<svg")


def test_an_empty_canvas_still_gives_an_image() -> None:
    assert frames.tree(svg(Canvas(100).drawing(20), key="empty", alt_text="nothing")).get("viewBox") == "0 0 100 20"


@pytest.mark.parametrize("size", ["wide", "narrow"])
def test_the_altair_chart_is_valid(size: str) -> None:
    drawn = figure(NASTY)
    chart = drawn.chart("narrow" if size == "narrow" else "wide")
    assert isinstance(chart, alt.LayerChart)
    spec = chart.to_dict(validate=True)  # the whole specification, against Vega-Lite's schema
    assert "var(--" not in json.dumps([layer["mark"] for layer in spec["layer"]])
    assert svg(spec, key="x", alt_text="") == svg(
        painted(drawn.wide if size == "wide" else drawn.narrow, PAPER), key="x", alt_text=""
    )
