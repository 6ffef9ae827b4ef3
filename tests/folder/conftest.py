"""A folder that any user can reach. pytest's own temp folders are closed to other users."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def open_path() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        path.chmod(0o777)
        yield path
