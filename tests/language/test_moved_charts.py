"""Charts in other languages: no word that is not from the catalogue, and no text cut off or over another."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from journal import periods
from journal.charts import link_titles, links_chart, mood_line, week_strips, year_pixels
from journal.charts.figure import Figure
from journal.charts.link_rows import signed
from journal.language.languages import ENGLISH, GERMAN, Language
from journal.language.spoken import speaking
from journal.measures import mood
from journal.measures.links import LINKS
from journal.settings import Scale
from tests.charts import frames
from tests.charts.frames import layer
from tests.charts.test_links_chart import row
from tests.charts.test_task_charts import curve
from tests.language.chart_samples import every_figure
from tests.language.drawn_texts import outside, overlapping, shortened, texts
from tests.language.test_moved_parts import PSEUDO, foreign

NO_BREAK = "\N{NO-BREAK SPACE}"
MARCH = periods.parse("2025-03", week_starts="monday")

OF_LINKS = ("links-chart", "drivers-chart")
"""Their hover texts are sentences of `measures.link_sentences`."""


def shown(figure: Figure) -> list[str]:
    if figure.key not in OF_LINKS:
        return list(texts(figure))
    names = [row["text"] for part in ("names", "lags", "count heads") for row in layer(figure.wide, part)]
    return [figure.title, figure.subtitle, *names]


def test_every_word_of_a_figure_is_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        figures = list(every_figure())
    said = [text for figure in figures for text in shown(figure)]
    assert len(said) > 4000
    assert {(word, text) for text in said for word in foreign(text)} == set()


@pytest.mark.parametrize("language", [ENGLISH, GERMAN, PSEUDO], ids=lambda language: language.code)
def test_no_text_of_a_figure_is_cut_off_or_over_another(language: Language) -> None:
    with speaking(language):
        drawings = [(f.key, drawing) for f in every_figure() for drawing in (f.wide, f.narrow)]
    assert [(key, text) for key, drawing in drawings for text in outside(drawing)] == []
    assert [(key, pair) for key, drawing in drawings for pair in overlapping(drawing)] == []
    assert [(key, text) for key, drawing in drawings for text in shortened(drawing)] == []


def test_a_text_that_is_cut_off_or_over_another_is_found() -> None:
    with speaking(GERMAN):
        (drawn, *_others) = every_figure()
    narrower = {**drawn.wide, "width": 900}
    assert any(text.startswith("streaks: 3 Wochen") for text in outside(narrower))
    for part in narrower["layer"]:
        part["data"]["values"] = [{**one, "x": one["x"] * 0.4} for one in part["data"]["values"]]
    assert len(overlapping(narrower)) > 5


def test_figures_in_german() -> None:
    days = frames.days(MARCH.first, [4, 3, 4.5, None, 3, 4, 4])
    with speaking(GERMAN):
        line = mood_line.draw(mood.trailing(days), Scale(), MARCH, days=7)
        year = year_pixels.draw(days, 2025, "energy", today=MARCH.last, scale=Scale())
        one, several = curve((1, "done"), (9, "open")), curve((0, "done"), (5, "done"), (6, "done"))
    assert line.title == "März 2025: Stimmung im Mittel 3,8, an 6 von 7 Tagen"
    assert layer(line.wide, "days")[2]["label"] == "3. März: Stimmung 4,5"
    assert (year.title, year.subtitle) == (
        "Kraft im Jahr 2025; am häufigsten 4, an 3 Tagen",
        "Kraft an 6 von 7 Tagen, Median der Kraft 4",
    )
    assert [half.part for half in year.halves] == ["Januar bis Juni", "Juli bis Dezember"]
    assert [text["text"] for text in layer(year.wide, "rows")][2::3] == ["Mär", "Jun", "Sep", "Dez"]
    assert one.title == f"50{NO_BREAK}% von 2 Aufgaben sind in 1 Tag getan"
    assert several.title == f"67{NO_BREAK}% von 3 Aufgaben sind in 5 Tagen getan"


def test_links_in_german_have_the_verb_and_the_place_of_their_language() -> None:
    several = [row("walk", 0, 0.5, clear=True), row("read", 0, 0.4, clear=True), row("swim", 1, -0.3, clear=True)]
    names = {"walk": "Gehen", "read": "Lesen", "swim": "Schwimmen", "call": "Anruf"}
    with speaking(GERMAN):
        drawn = links_chart.draw(pl.DataFrame([*several, row("call", 0, 0.1)], schema=LINKS), names)
        rows = [link for link in drawn.table.iter_rows(named=True) if link["clear"]]
        signs = signed(0.56), signed(-1.25, 2), signed(0.001)
        others = [link_titles.title([], "mood"), *(week_strips.hour_word(hour, 12) for hour in (0, 12, 15))]
    assert drawn.title == (
        "Gehen und Lesen gehen am selben Tag mit höherer Stimmung einher; "
        "Schwimmen geht am Tag danach mit niedrigerer Stimmung einher; sonst ist nichts klar"
    )
    assert len(rows) == 3
    assert signs == ("+0,6", "−1,25", "0,0")
    assert others == ["", "Mitternacht", "mittags", "3 PM"]
    assert [text["text"] for text in layer(drawn.narrow, "count heads")] == ["Tage mit, ohne"]


def test_a_week_has_the_short_weekdays_of_its_language() -> None:
    week = periods.parse("2025-W11", week_starts="monday")
    night = (dt.date(2025, 3, 12), "actual", "sleep", 0, 390)
    with speaking(GERMAN):
        drawn = week_strips.draw(frames.hours([night]), {"sleep": ("Schlaf", "#332288")}, week)
    assert [text["text"] for text in layer(drawn.wide, "days")][:3] == ["Mo 10.", "Di 11.", "Mi 12."]
    assert [box["label"] for box in layer(drawn.wide, "actual")] == ["Schlaf, 12. März, 00:00 bis 06:30, tatsächlich"]
