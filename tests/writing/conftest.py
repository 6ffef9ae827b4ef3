from __future__ import annotations

from pathlib import Path

import pytest

SETTINGS = """\
title = "Spine and thread"
[[places]]
key = "home"
name = "Ljubljana"
latitude = 46.05
longitude = 14.51
timezone = "Europe/Ljubljana"
[[habits]]
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
