"""What the pages say of findings, nights, links, hours, tasks and care, from the example year and from empty tables."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

import journal
from journal import periods
from journal.pages import findings
from journal.settings import Settings
from journal.tables import build, record
from tests.pages.test_escape import Reader

TODAY = dt.date(2026, 3, 10)
NOTHING = build(record([]), Settings(title="Empty", places=()), TODAY)


@pytest.fixture(scope="module")
def book() -> journal.Journal:
    return journal.open(Path(__file__).parents[2] / "example_year", today=TODAY, cache=False)


def text(html: str) -> str:
    return Reader(html).text


def test_findings_have_their_days(book: journal.Journal) -> None:
    said = text(findings.card(book.tables, book.settings, periods.parse("2025-W11")))
    assert "Screen after nine: done 3 of 7 (43 %), 7 of 7 (100 %) the week before" in said
    assert "March 2025: 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16" in said


def test_without_a_finding_there_is_no_card() -> None:
    assert findings.card(NOTHING, Settings(title="Empty", places=()), periods.parse("2025-03")) == ""


def test_days_are_told_by_month() -> None:
    days = [dt.date(2026, 1, 2), dt.date(2025, 12, 31), dt.date(2025, 12, 7)]
    assert text(findings.by_month(days)) == "December 2025: 7, 31January 2026: 2"
