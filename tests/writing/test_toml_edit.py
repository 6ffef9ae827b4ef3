"""Edits of a page's text: unchanged lines keep their bytes in any notation, and the new values come back."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.folder import toml_read
from journal.folder.identity import is_same
from journal.folder.toml_edit import rewritten
from tests.writing.documents import PAGE, pages, pruned, values

Page = tuple[str, dict[str, Any]]


def remarks(text: str) -> Counter[str]:
    return Counter(re.findall(r"# remark \d+", text))


def lines(text: str) -> list[str]:
    """The lines that are neither blank nor comments, in order, without line ends."""
    return [line.removesuffix("\r") for line in text.split("\n") if line.strip() and not line.lstrip().startswith("#")]


@pytest.mark.parametrize(
    ("text", "wanted", "after"),
    [
        ("habits.walk = true\n", {"habits": {}}, "habits = {}\n"),
        (
            "hours.actual.sleep = []\n",
            {"hours": {"actual": {"sleep": []}, "planned": {"sleep": ["00:00-06:00"]}}},
            'hours.actual.sleep = []\nhours.planned.sleep = ["00:00-06:00"]\n',
        ),
        ("mood = 3", {"mood": 3, "habits": {"walk": True}}, "mood = 3\n\n[habits]\nwalk = true"),
        (
            "[[tasks]]\n[[tasks]]\n[tasks.steps]\nfold = 1\n",
            {"tasks": [{}, {"steps": {"fold": 2}}]},
            "[[tasks]]\n[[tasks]]\n[tasks.steps]\nfold = 2\n",
        ),
        (
            'weather = {sky = "fog", wind = {force = 3}}\n',
            {"weather": {"sky": "fog", "wind": {"force": 3, "from": "north"}}},
            'weather = {sky = "fog", wind = {force = 3, from = "north"}}\n',
        ),
    ],
)  # fmt: skip
def test_notation_that_random_pages_seldom_have(text: str, wanted: dict[str, Any], after: str) -> None:
    """Dotted keys, a last line without line end, a table within a list's table, nested inline tables."""
    assert rewritten(text, toml_read.values("page", text), wanted) == after


@given(pages())
@settings(max_examples=80, deadline=None)
def test_no_change_changes_no_byte(page: Page) -> None:
    text, values = page
    assert rewritten(text, values, values) == text


@given(pages(), values)
@settings(max_examples=150, deadline=None)
def test_any_page_can_become_any_other_and_keeps_every_comment(page: Page, wanted: dict[str, Any]) -> None:
    text, values = page
    after = rewritten(text, values, wanted)
    assert is_same(pruned(toml_read.values("page", after)), pruned(wanted)), after
    assert remarks(after) == remarks(text)


@given(pages(), st.data())
@settings(max_examples=150, deadline=None)
def test_one_key_changed_leaves_all_other_lines(page: Page, data: st.DataObject) -> None:
    text, values = page
    name = data.draw(st.sampled_from(sorted(PAGE)))
    wanted = values | {name: data.draw(PAGE[name])}
    after = rewritten(text, values, wanted)
    assert is_same(pruned(toml_read.values("page", after)), pruned(wanted)), after
    assert remarks(after) == remarks(text)
    without = {key: value for key, value in values.items() if key != name}
    assert lines(rewritten(after, toml_read.values("page", after), without)) == lines(rewritten(text, values, without))
    back = rewritten(after, toml_read.values("page", after), values)
    assert is_same(pruned(toml_read.values("page", back)), pruned(values)), back
