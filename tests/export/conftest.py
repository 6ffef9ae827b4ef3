"""The document of the example year, made once for all tests of its exports.

A module that takes it is of the xdist group `retrospective`: one worker has it, the other would only make it again.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

import journal
from journal import Journal
from journal.export.document import Document
from journal.export.year_document import contents

EXAMPLE = Path(__file__).parents[2] / "example_year"


@pytest.fixture(scope="package")
def opened() -> Journal:
    return journal.open(EXAMPLE, today=dt.date(2026, 1, 5), cache=False)


@pytest.fixture(scope="package")
def year(opened: Journal) -> Document:
    return contents(opened, 2025)
