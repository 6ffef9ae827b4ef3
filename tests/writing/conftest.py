from __future__ import annotations

from pathlib import Path

import pytest

from tests.journals import HOME

SETTINGS = f"""\
title = "Spine and thread"
{HOME}[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01
[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01
target = 20
unit = "pages"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A journal without a page."""
    (tmp_path / "journal.toml").write_text(SETTINGS)
    return tmp_path
