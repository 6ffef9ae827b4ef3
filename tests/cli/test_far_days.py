"""A day that no page can have, in any option: one sentence, at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from journal.cli import duskbook
from journal.errors import UsageError
from journal.pages import page_params
from tests.evening.evenings import DAY, written

FAR = ["0001-01-01", "0002-01-01", "1582-12-31", "3000-01-01", "9998-12-31", "9999-12-31"]


@pytest.mark.parametrize("day", FAR)
def test_a_far_day_is_told(tmp_path: Path, day: str) -> None:
    folder = str(written(tmp_path, {DAY: {"mood": 3}}))
    for command in (["log", folder, "--mood", "3", "--date"], ["show", "streaks", folder, "--today"]):
        result = CliRunner().invoke(duskbook, [*command, day])
        assert result.exit_code == 2 and day in result.output and "Traceback" not in result.output
    with pytest.raises(UsageError, match=day):
        page_params.day(page_params.TODAY, {page_params.TODAY: day})
