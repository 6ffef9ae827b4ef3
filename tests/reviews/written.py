"""Reviews for tests: a small journal as files, and what a person enters in the form of a week."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import msgspec

import journal
from journal import periods
from journal.reviews import review_form, save_review
from journal.saving.save_pages import SaveResult
from tests.journals import HOME

TODAY = dt.date(2025, 3, 16)  # the Sunday of week 11
NOW = dt.datetime(2025, 3, 16, 20, 4, tzinfo=dt.UTC)  # 21:04 in Ljubljana
WEEK = "2025-W11"

SETTINGS = f"""\
title = "Spine and thread"

{HOME}
# What a Sunday asks.
[prompts]
week = ["What carried?", "What may go?", "What next?"]  # three, no more
"""


def begin(folder: Path, page: str | None = None, settings: str = SETTINGS) -> Path:
    """A journal with the page of week 11, or without one."""
    (folder / "journal.toml").write_text(settings, encoding="utf-8")
    if page is not None:
        path(folder).parent.mkdir(exist_ok=True)
        path(folder).write_text(page, encoding="utf-8")
    return folder


def path(folder: Path, key: str = WEEK) -> Path:
    return folder / "2025" / f"{key}.toml"


def text(folder: Path, key: str = WEEK) -> str:
    return path(folder, key).read_text(encoding="utf-8")


def opened(folder: Path) -> journal.Journal:
    return journal.open(folder, today=TODAY, cache=False)


def offered(folder: Path, key: str = WEEK) -> dict[str, Any]:
    """The offer of a review as the page gets it: JSON and back."""
    book = opened(folder)
    offer = review_form.offer(book, periods.parse(key, week_starts=book.settings.week_starts))
    plain = msgspec.json.decode(msgspec.json.encode(offer))
    assert isinstance(plain, dict)
    return plain


def entered(offer: dict[str, Any], answers: dict[str, str] | None = None, **changed: Any) -> dict[str, Any]:
    """What the page sends when nothing was touched but some answers, by their prompt, and what is `changed`."""
    given = answers or {}
    rows = [
        {"ref": q["ref"], "prompt": q["prompt"], "answer": given.get(q["prompt"], q["answer"])}
        for q in offer["questions"]
    ]
    asked = [question["prompt"] for question in offer["questions"] if question["asked"]]
    whole = {"base": offer["base"], "period": offer["period"], "prompts": asked, "answers": rows}
    return whole | {"notes": offer["notes"]} | changed


def saved(folder: Path, raw: dict[str, Any]) -> SaveResult:
    """The answer to what was entered, which has been through JSON as in the browser."""
    return save_review.save(opened(folder), msgspec.json.decode(msgspec.json.encode(raw)), now=NOW)


def write(folder: Path, answers: dict[str, str] | None = None, key: str = WEEK, **changed: Any) -> str:
    """Save a review from its newest offer; what is said of it."""
    answer = saved(folder, entered(offered(folder, key), answers, **changed))
    assert answer.saved, answer
    return answer.said
