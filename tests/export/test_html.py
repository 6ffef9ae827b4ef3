"""The year as HTML: valid, self-contained, accessible, reproducible, and inert for any text.

"Valid" is the strict mode of html5lib, the parsing algorithm of the HTML standard (WHATWG), which stops at the first
parse error. The example year is drawn once for all of these.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple
from xml.etree.ElementTree import Element

import html5lib
import pytest
from playwright.sync_api import sync_playwright

from journal.charts import figure, kept_drawings
from journal.charts.theme import css_variables
from journal.entry import Answer, Entry, Page, Review, Task
from journal.export.document import Document
from journal.export.html import POLICY, html
from journal.export.year_document import contents
from journal.settings import Challenge, Habit
from tests.browser import axe
from tests.chromium import ARGUMENTS, chromium
from tests.export.books import book

pytestmark = pytest.mark.xdist_group("retrospective")

PROJECT = Path(__file__).parents[2]
STYLE = (PROJECT / "journal" / "export" / "templates" / "retrospective.css").read_text("utf-8")
SVG = "{http://www.w3.org/2000/svg}"

HOSTILE = (
    "<script>alert(1)</script>", "javascript:alert(1)", "{{ 7 * 7 }}", "{% raw %}", "</style><b>x", "&lt;img src=x>",
    '" onload="alert(1)', "<!-- -->", "https://example.org/?a=1&b=2", "](x)", "nul \0 and \x1b[31m", "\ufffe \u202e",
)  # fmt: skip


class Made(NamedTuple):
    data: bytes
    root: Element

    @property
    def text(self) -> str:
        return self.data.decode()


def parsed(data: bytes) -> Element:
    """The page as a tree. Raises an error if it is not valid HTML."""
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(data.decode())
    assert isinstance(tree, Element)
    return tree


@pytest.fixture(scope="module")
def example(year: Document) -> Made:
    data = html(year)
    return Made(data, parsed(data))


WALK = Habit(key="walk", name="Walk", every="FREQ=DAILY", start=dt.date(2023, 12, 1))


def days_of(first: dt.date, count: int) -> dict[dt.date, Entry]:
    dates = [first + dt.timedelta(days=i) for i in range(count)]
    return {day: Entry(mood=1 + day.day % 5, habits={"walk": day.day % 3 > 0}, memory=f"M{day}") for day in dates}


@pytest.mark.parametrize(
    ("days", "year", "chapters"),
    [
        ({}, 2031, ["year"]),
        ({dt.date(2025, 3, 14): Entry(mood=4, memory="Sewn.")}, 2025, ["year", "2025-03", "counting"]),
        (days_of(dt.date(2024, 2, 28), 3), 2024, ["year", "2024-02", "2024-03", "habits", "counting"]),
        (days_of(dt.date(2023, 12, 20), 20), 2024, ["year", "2024-01", "habits", "counting"]),
        (days_of(dt.date(2023, 12, 20), 20), 2023, ["year", "2023-12", "habits", "counting"]),
    ],
    ids=["nothing", "one day", "leap day", "ends in it", "begins in it"],
)
def test_short_years_are_valid(days: dict[dt.date, Entry], year: int, chapters: list[str]) -> None:
    root = parsed(html(contents(book(days, habits=(WALK,) if len(days) > 1 else ()), year)))
    assert [one.get("id") for one in root.iter("section")] == chapters
    assert [one.get("href") for one in root.iter("a")][1:] == [f"#{key}" for key in chapters]
    shown = [one.get("datetime") or "" for one in root.iter("time")]
    assert shown == [str(day) for day in days if day.year == year]


def test_nothing_written_is_said(example: Made) -> None:
    assert "Nothing was written in 2031." in text(parsed(html(contents(book({}), 2031))))
    assert "Nothing was written" not in example.text


# What it is made of ----------------------------------------------------------------------------------------------

FETCHING = {"src", "href", "srcset", "poster", "action", "data", "background", "cite", "formaction", "ping", "manifest"}


def test_it_makes_no_request(example: Made) -> None:
    names = {element.tag for element in example.root.iter()}
    assert not names & {"script", "link", "base", "iframe", "object", "embed", "form", "img", "audio", "video"}
    for element in example.root.iter():
        for name, value in element.attrib.items():
            assert name.rpartition("}")[2] not in FETCHING or value.startswith("#"), (element.tag, name, value)
            assert not name.startswith("on")
            assert re.findall(r"url\((?!#)", value) == []
    styles = "".join(style.text or "" for style in example.root.iter("style"))
    assert "url(" not in styles and "@import" not in styles and "image-set" not in styles
    # The rest is the namespace of SVG, which no browser fetches, and the word http-equiv.
    rest = example.data.replace(b'xmlns="http://www.w3.org/2000/svg"', b"").replace(b"http-equiv", b"")
    assert b"http" not in rest and b"//" not in rest.replace(b"</", b"")


def test_its_policy_comes_before_any_content(example: Made) -> None:
    element = example.root.find("head")
    assert element is not None
    head = list(element)
    assert [head[1].get("http-equiv"), head[1].get("content")] == ["Content-Security-Policy", POLICY]
    assert POLICY.startswith("default-src 'none'; ") and "'unsafe-eval'" not in POLICY and "script-src" not in POLICY
    assert head.index(next(example.root.iter("style"))) > 1
    assert ("robots", "noindex") in [(meta.get("name"), meta.get("content")) for meta in head]


def test_every_drawing_has_a_text_alternative(example: Made) -> None:
    drawings = list(example.root.iter(f"{SVG}svg"))
    assert len(drawings) > 60
    for drawing in drawings:
        assert drawing.get("role") == "img" and len(drawing.get("aria-label") or "") > 20
        assert all(child.get("aria-hidden") == "true" for child in drawing)
    figures = [one for one in example.root.iter("div") if (one.get("class") or "") == "block picture"]
    assert len(drawings) == 2 * len(figures)
    assert all(figure.find(".//table") is not None for figure in figures)


def test_headings_and_ids_are_in_order(example: Made) -> None:
    levels = [int(element.tag[1]) for element in example.root.iter() if re.fullmatch(r"h[1-6]", str(element.tag))]
    assert levels[0] == 1 and levels.count(1) == 1 and set(levels) == {1, 2, 3}
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))
    ids = Counter(element.get("id") for element in example.root.iter() if element.get("id"))
    assert set(ids.values()) == {1}
    pointed = [value[1:] for e in example.root.iter() for name, value in e.attrib.items() if name.endswith("href")]
    named = [e.get("aria-labelledby") for e in example.root.iter() if e.get("aria-labelledby")]
    assert {*pointed, *named} <= set(ids)
    assert example.root.get("lang") == "en"


def test_the_style_uses_only_the_palette() -> None:
    """The tests of the theme check their contrast."""
    assert set(re.findall(r"#[0-9A-Fa-f]{3,8}\b", STYLE)) == {"#FFFFFF"}  # white paper
    assert not re.search(r"\b(rgb|hsl|oklch|color-mix)a?\(|: *(white|black|grey|gray)\b", STYLE)
    text_colours = set(re.findall(r"(?<![\w-])color: ([^;]+);", STYLE))
    assert text_colours == {"var(--dusk-ink)", "var(--dusk-muted)", "var(--dusk-accent)"}
    assert set(re.findall(r"--dusk-[a-z]+", STYLE)) <= set(re.findall(r"--dusk-[a-z]+", css_variables()))
    assert "opacity" not in STYLE


# Whatever was written --------------------------------------------------------------------------------------------


def text(element: Element) -> str:
    return "".join(element.itertext())


def test_lines_show_as_typed_and_have_no_effect() -> None:
    day = dt.date(2025, 3, 14)
    days = {
        day + dt.timedelta(days=i): Entry(
            mood=3, habits={"walk": True}, memory=line, gratitude=(line,), notes=(line,), challenges={"letters": True},
            tasks=(Task(title=line, status="done"),),
        )
        for i, line in enumerate(HOSTILE)
    }  # fmt: skip
    review = Review(reflection=tuple(Answer(prompt=line, answer=line) for line in HOSTILE))
    pages = [Page(path="2025-03.toml", kind="month", key="2025-03", content=review)]
    opened = book(
        days,
        pages,
        title=HOSTILE[0],
        habits=(Habit(key="walk", name=HOSTILE[0], every="FREQ=DAILY", start=day),),
        challenges=(Challenge(key="letters", name=HOSTILE[4], start=day, until=day + dt.timedelta(days=20)),),
    )
    root = parsed(html(contents(opened, 2025)))
    assert not any(element.tag in ("script", "b", "img") for element in root.iter())
    assert not any(name.startswith("on") for element in root.iter() for name in element.attrib)
    typed = [re.sub("[\0\x1b\ufffe]", "\ufffd", line) for line in HOSTILE]
    kinds = ("of-memory", "of-gratitude", "of-note", "of-done")
    for kind in kinds:
        (list_,) = [one for one in root.iter("ul") if kind in (one.get("class") or "")]
        assert [text(line) for line in list_.iter("span")] == typed
    assert [text(one) for one in root.iter("p") if one.get("class") == "answer"] == typed
    assert [text(one) for one in root.iter("p") if one.get("class") == "prompt"] == typed
    assert text(next(root.iter("h1"))) == HOSTILE[0] and HOSTILE[0] in [text(cell) for cell in root.iter("th")]
    assert HOSTILE[4] in [text(term) for term in root.iter("dt")]
    assert not any("example.org" in (link.get("href") or "") for link in root.iter("a"))


def test_the_same_document_gives_the_same_bytes() -> None:
    def once() -> bytes:
        kept_drawings.keep_in(None)
        figure._finished.cache_clear()
        return html(contents(book(days_of(dt.date(2025, 3, 1), 20), habits=(WALK,)), 2025))

    first = once()
    assert first == once() and len(first) > 50_000


# As a browser shows it -------------------------------------------------------------------------------------------


def test_a_browser_without_network_shows_all_of_it(example: Made, tmp_path: Path) -> None:
    """At two widths, in light and dark mode, and in print."""
    path = tmp_path / "retrospective-2025.html"
    path.write_bytes(example.data)
    clean: dict[str, list[str]] = {key: [] for key in ("errors", "requests", "wide", "colours", "print", "violations")}
    seen = {key: list(found) for key, found in clean.items()}
    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        page = browser.new_context(offline=True).new_page()
        page.on("console", lambda message: seen["errors"].append(message.text))
        page.on("pageerror", lambda error: seen["errors"].append(str(error)))
        page.on("request", lambda request: seen["requests"].append(request.url))
        page.goto(path.as_uri())
        for width in (390, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            if (across := page.evaluate("document.documentElement.scrollWidth")) > width:
                seen["wide"].append(f"{across} at {width}")
            shown = page.evaluate("document.querySelector('.drawing.narrow').checkVisibility()")
            if shown != (width == 390):
                seen["wide"].append(f"the other drawing at {width}")
        for scheme, paper in (("light", "rgb(251, 248, 242)"), ("dark", "rgb(26, 27, 42)")):
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            if (found := page.evaluate("getComputedStyle(document.body).backgroundColor")) != paper:
                seen["colours"].append(f"{found} in {scheme}")
        page.emulate_media(color_scheme="light")
        seen["violations"] = axe.violations(page)
        page.set_viewport_size({"width": 390, "height": 900})
        seen["violations"] += axe.violations(page)
        page.emulate_media(color_scheme="dark", forced_colors="active")
        seen["violations"] += axe.violations(page, "color-contrast")
        page.emulate_media(color_scheme="light", forced_colors="none")
        page.emulate_media(media="print", color_scheme="dark")
        inks = page.evaluate("[document.body, document.querySelector('h1')].map(e => getComputedStyle(e).color)")
        seen["print"] += [ink for ink in inks if ink != "rgb(35, 38, 59)"]
        seen["print"] += ["nav"] * page.evaluate("document.querySelector('nav').checkVisibility()")
        breaks = page.evaluate(
            "[...document.querySelectorAll('section.chapter')].map(e => getComputedStyle(e).breakBefore)"
        )
        seen["print"] += [rule for rule in breaks if rule != "page"]
        seen["requests"].remove(path.as_uri())
        browser.close()
    assert seen == clean
