"""What a chart tells apart is told apart in the reader's own colours (forced colours) and in grey (`seen_states`)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

import polars as pl
import pytest
from playwright.sync_api import Browser, Page

from journal import periods
from journal.charts import theme, trial_days, week_strips, year_pixels
from journal.charts.canvas import Canvas
from journal.charts.figure import Size, svg
from journal.charts.marks import SHAPES, MarkCell, draw_marks
from journal.charts.trial_days import ArmMeans
from tests.browser.seen_states import LEAST, RATIO, Picture, alike, cut, picture
from tests.browser.test_states_seen import SIGHTS, look
from tests.charts import frames

pytestmark = pytest.mark.xdist_group("evening")

FIRST = dt.date(2025, 3, 3)
DAY = dt.timedelta(days=1)
ARMS = ("on", "off", "washout")


@pytest.fixture(scope="module")
def blank(browser: Browser) -> Iterator[Page]:
    page = browser.new_page(viewport={"width": 1100, "height": 900})
    yield page
    page.close()


def marks(side: float) -> str:
    """Every mark of a habit, with its name as the hover text of its cell."""
    sheet, pitch = Canvas(40.0 * len(SHAPES)), (24.0, 24.0)
    cells = [MarkCell(shape=shape, x=20 + 40 * at, y=20, label=shape) for at, shape in enumerate(SHAPES)]
    draw_marks(sheet, cells, width=side, height=side, pitch=pitch)
    return svg(sheet.drawing(40), key="marks", alt_text="Marks")


def pixels(quantity: str, *, compact: bool) -> str:
    """A day at each step of a scale, and one without a value."""
    values = [1.0, 2.0, 3.0, 4.0, 5.0, None]
    days = {"date": [FIRST + at * DAY for at in range(6)], "logged": [True] * 6, quantity: values}
    frame = pl.DataFrame(days, schema_overrides={quantity: pl.Float64})
    return year_pixels.draw(frame, 2025, quantity, today=FIRST + 5 * DAY, compact=compact).svg(
        "narrow" if compact else "wide"
    )


def lots() -> str:
    """A day of each arm of a trial at the same value."""
    days = {
        "date": [FIRST + at * DAY for at in range(3)],
        "arm": ARMS,
        "done": [True, False, None],
        "outcome": [3.0] * 3,
    }
    frame = pl.DataFrame(days, schema_overrides={"outcome": pl.Float64})
    return trial_days.draw(frame, ArmMeans(4.0, 2.0), title="A trial.", habit="Walk", outcome="mood").svg()


# Two pairs of the usual colours that are nearly one grey.
CATEGORIES = {
    "outside": ("Outside", "#44AA99"),
    "errands": ("Errands", "#999933"),
    "people": ("People", "#117733"),
    "music": ("Music", "#AA4499"),
}


def hours(size: Size, layer: str = "actual") -> str:
    """Hours of every category, one after the other. The narrow drawing has no room for their names."""
    spans = [(FIRST, layer, key, at * 120, at * 120 + 120) for at, key in enumerate(CATEGORIES)]
    week = periods.containing(FIRST, "week", week_starts="monday")
    return week_strips.draw(frames.hours(spans), CATEGORIES, week).svg(size)


DRAWN = {
    "marks": marks(14),
    "small marks": marks(8),
    "mood": pixels("mood", compact=False),
    "small mood": pixels("mood", compact=True),
    "energy": pixels("energy", compact=False),
    "arms": lots(),
    "hours": hours("wide"),
    "narrow hours": hours("narrow"),
    "planned hours": hours("wide", "planned"),
    "narrow planned hours": hours("narrow", "planned"),
}

# Where the hover texts of a figure are: the marks that are told apart.
PLACES = """id => [...document.querySelectorAll(`#${id} title`)].map(title => {
  const { x, y, width, height } = title.parentNode.getBoundingClientRect();
  return [title.textContent, x + scrollX + width / 2, y + scrollY + height / 2, width, height];
})"""


def test_what_a_chart_tells_apart_is_told_apart_without_hues(blank: Page) -> None:
    box = "width:980px;margin:8px"
    figures = [f'<div id="{name.replace(" ", "-")}" style="{box}">{drawn}</div>' for name, drawn in DRAWN.items()]
    blank.set_content(
        f"<style>{theme.css_variables()} body {{ background: var(--dusk-card); }}</style>{''.join(figures)}"
    )
    alike_marks = {}
    for sight in SIGHTS:
        look(blank, sight)
        whole = picture(blank, full_page=True)
        for name in DRAWN:
            shown: dict[str, Picture] = {}
            places = [place for place in blank.evaluate(PLACES, name.replace(" ", "-")) if place[0] not in NAMES]
            wide, high = (max(place[at] for place in places) + 4 for at in (3, 4))
            for label, x, y, _, _ in places:
                shown[label] = cut(whole, {"x": x - wide / 2, "y": y - high / 2, "width": wide, "height": high})
            assert len(shown) == EXPECTED[name.rpartition(" ")[2]], (name, list(shown))
            is_hue = sight[0] == "none" and name.endswith(("mood", "energy"))
            least = LEAST_SMALL if name.startswith("small") else LEAST
            if pairs := alike(shown, STEP_RATIO if is_hue else RATIO, least):
                alike_marks[sight, name] = pairs
    assert alike_marks == {}


# Steps of a scale are read in order, with their words in the key and as hover texts. Their lightness rises evenly.
STEP_RATIO = 1.5
# A spot of 2 by 2, for marks of 8 pixels. Those are for a phone, where a pixel of CSS is two or three of the screen.
LEAST_SMALL = 4
# In the key, whose swatches stand beside their names.
NAMES = [name for name, _ in CATEGORIES.values()]
EXPECTED = {"marks": len(SHAPES), "mood": 6, "energy": 6, "arms": 3, "hours": 4}
