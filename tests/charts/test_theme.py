"""Colours: contrast and order with every kind of colour vision, and one source for charts and style sheet."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

import journal
from journal.charts import category_colours, theme
from journal.charts.theme import DUSK, PAGE, PAPER, Palette, contrast
from tests import colour
from tests.references import load

THEMES = pytest.mark.parametrize("palette", [PAPER, DUSK], ids=["light", "dark"])


@pytest.mark.parametrize("check", load("contrast"), ids=lambda c: c["name"])
def test_contrast_matches_wcag(check: dict) -> None:  # type: ignore[type-arg]
    ratio = contrast(check["inputs"]["foreground"], check["inputs"]["background"])
    assert ratio == pytest.approx(check["expected"]["ratio"], abs=check["tolerance"])
    assert (ratio >= 4.5) is check["expected"]["aa_normal"]
    assert (ratio >= 3) is check["expected"]["aa_large_or_non_text"]


@pytest.mark.parametrize("check", load("cvd-matrix"), ids=lambda c: c["name"])
def test_matrices_are_the_published_ones(check: dict) -> None:  # type: ignore[type-arg]
    sight = next(s for s in colour.SIGHTS if s in check["name"])
    for row, expected in zip(colour.MACHADO[sight], check["expected"]["matrix"], strict=True):
        assert row == pytest.approx(tuple(expected), abs=check["tolerance"])


@pytest.mark.parametrize("check", load("cvd-simulate"), ids=lambda c: c["name"])
def test_simulation_of_deficient_sight(check: dict) -> None:  # type: ignore[type-arg]
    for one, expected in zip(check["inputs"]["hex"], check["expected"]["rgb8"], strict=True):
        got = colour.seen_rgb8(one, check["inputs"]["deficiency"])
        assert got == pytest.approx(tuple(expected), abs=check["tolerance"])


@pytest.mark.parametrize("check", load("palette-order"), ids=lambda c: c["name"])
def test_lightness_of_a_scale(check: dict) -> None:  # type: ignore[type-arg]
    for sight, expected in check["expected"]["L"].items():
        got = [colour.lightness(c, sight) for c in check["inputs"]["hex"]]
        assert got == pytest.approx(expected, abs=check["tolerance"])
        assert (got == sorted(got)) is check["expected"]["monotone"][sight]


# Measured: steps of L* run from 13 (protan, 2 to 3) to 21 (deutan, 3 to 4) for mood, from 16 to 19 for energy.
@pytest.mark.parametrize(
    ("scale", "least", "most"), [(PAPER.mood, 13, 21), (PAPER.energy, 16, 19)], ids=["mood", "energy"]
)
@pytest.mark.parametrize("sight", colour.SIGHTS)
def test_scales_rise_in_near_equal_steps_in_every_vision(
    scale: tuple[str, ...], least: float, most: float, sight: str
) -> None:
    light = [colour.lightness(c, sight) for c in scale]
    steps = [b - a for a, b in pairwise(light)]
    assert least <= min(steps)
    assert max(steps) <= most


def test_lightness_of_mood_matches_the_docstring() -> None:
    for sight in colour.SIGHTS:
        text = " ".join(f"{colour.lightness(c, sight):.0f}" for c in PAPER.mood)
        assert text in " ".join((theme.__doc__ or "").split())


@THEMES
def test_text_and_marks_have_contrast(palette: Palette) -> None:
    for ground in (palette.paper, palette.card, palette.wash, palette.day):
        for text in (palette.ink, palette.muted, palette.accent):
            assert contrast(text, ground) >= 4.5
    for ground in (palette.paper, palette.card, palette.wash):
        for mark in (palette.ink, palette.accent, palette.quiet, palette.blank):
            assert contrast(mark, ground) >= 3
        for edge in palette.mood_edge + palette.energy_edge:
            assert contrast(edge, ground) >= 3
    assert contrast(palette.on_accent, palette.accent) >= 4.5
    assert contrast(palette.on_quiet, palette.quiet) >= 4.5


@given(st.integers(0, 0xFFFFFF))
@example(0x7C8196)  # neither the ink nor white has 4.5:1 on it
def test_a_text_on_any_colour_of_a_category_has_contrast(number: int) -> None:
    colour = f"#{number:06X}"
    assert contrast(category_colours.text_on(colour), colour) >= 4.5


@THEMES
def test_an_edge_is_drawn_only_where_the_step_would_be_lost(palette: Palette) -> None:
    for fills, edges in (palette.steps("mood"), palette.steps("energy")):
        for fill, edge in zip(fills, edges, strict=True):
            lost = any(contrast(fill, ground) < 3 for ground in (palette.card, palette.paper, palette.wash))
            assert (fill != edge) is lost


def test_both_themes_share_the_design_s_mood_colours() -> None:
    assert PAPER.mood == DUSK.mood == ("#2B2A4C", "#5E4B7B", "#A9687F", "#E2A46E", "#F6DE9E")


def test_a_page_names_every_colour_as_a_property() -> None:
    css = theme.css_variables()
    for (name, value), (_, paper), (_, dusk) in zip(PAGE.named(), PAPER.named(), DUSK.named(), strict=True):
        assert value == f"var({theme.PREFIX}{name})"
        assert css.count(f"{theme.PREFIX}{name}: {paper};") >= 2
        assert f"{theme.PREFIX}{name}: {dusk};" in css


def test_the_style_sheet_begins_with_the_same_colours() -> None:
    sheet = Path(journal.__path__[0], "pages", "style.css").read_text(encoding="utf-8")
    assert theme.css_variables() in sheet


@pytest.mark.parametrize(
    ("low", "high", "steps"),
    [
        (1, 5, [0, 1, 2, 3, 4]),
        (1, 10, [0, 0, 1, 1, 2, 2, 3, 3, 4, 4]),
        (0, 4, [0, 1, 2, 3, 4]),
        (1, 3, [0, 2, 4]),
        (-2, 2, [0, 1, 2, 3, 4]),
        (1, 7, [0, 1, 1, 2, 3, 3, 4]),
    ],
)
def test_any_scale_takes_the_nearest_of_five(low: int, high: int, steps: list[int]) -> None:
    assert [theme.step(v, low, high) for v in range(low, high + 1)] == steps


def test_values_outside_and_between() -> None:
    assert [theme.step(v, 1, 5) for v in (-3, 9, 2.49, 2.5)] == [0, 4, 1, 2]
    assert theme.step(4, 4, 4) == 2  # a scale of one step has no order to show
