"""What a form holds, as text to read."""

from __future__ import annotations

import html
import re
from typing import Any

from journal.pages import plain_forms

QUESTIONS = [{"prompt": "What held?", "answer": "Mornings."}, {"prompt": "What did not?", "answer": ""}]
REVIEW = {"offer": {"title": "March", "questions": QUESTIONS, "notes": ["<b>x</b>"]}}


def lines(module: str, values: Any, *, note: bool = False) -> list[str]:
    shown = plain_forms.plain(module, values, note=note) or ""
    texts = (html.unescape(re.sub("<[^>]+>", "", part)).strip() for part in re.split("</(?:li|h1|h2|p)>", shown))
    return [text for text in texts if text]


def test_answers_and_notes_are_told_and_what_is_empty_is_left_out() -> None:
    assert lines("review", REVIEW) == ["March", "What held? Mornings.", "Notes", "<b>x</b>"]
    assert plain_forms.plain("review", {"offer": {"title": "March", "questions": [], "notes": []}}, note=True) is None


def test_each_kind_of_mark() -> None:
    marks = [("a", True), ("b", False), ("c", "rest"), ("d", 12.5), ("e", None), ("f", 0)]
    habits = [{"name": name, "mark": mark, "unit": "pages"} for name, mark in marks]
    parts = ("fields", "appointments", "tasks", "challenges", "gratitude", "notes", "categories")
    day: dict[str, list[str]] = {part: [] for part in parts}
    values = {"offer": {**day, "title": "Today", "habits": habits, "planned": {}, "actual": {}}}
    said = ["a done", "b not done", "c rest", "d 12.5 pages", "f 0 pages"]
    assert lines("day", values) == ["Today", "Habits", *said]


def test_the_note_stands_once_and_a_form_without_text_has_none() -> None:
    assert "not written on" in lines("review", REVIEW, note=True)[0]
    assert plain_forms.plain("chapters", {"opened": [], "page": "year"}, note=True) is None
