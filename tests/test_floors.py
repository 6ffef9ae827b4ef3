"""The floors of pyproject.toml: each part has one, and a test that runs on it. `python -m tests.floors` runs them."""

from __future__ import annotations

import re
import tomllib

from tests import floors

PYPROJECT = (floors.PROJECT / "pyproject.toml").read_text(encoding="utf-8")


def test_every_part_has_a_floor_and_a_test_that_runs_on_it() -> None:
    needed = [re.split("[^A-Za-z0-9_-]", part)[0] for part in tomllib.loads(PYPROJECT)["project"]["dependencies"]]
    assert sorted(floors.TESTS) == sorted(needed)
    pinned = floors.floors(PYPROJECT)
    assert set(needed) <= set(pinned)
    assert set(floors._TEST_PARTS) <= set(pinned)
    missing = [test for test in floors.TESTS.values() if not (floors.PROJECT / test.partition("::")[0]).exists()]
    assert not missing
