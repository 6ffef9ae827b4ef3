"""Tests of one group run on one worker: the browser tests, and modules with expensive shared fixtures."""

from __future__ import annotations

import os

import pytest


@pytest.mark.xdist_group("together")
@pytest.mark.skipif("PYTEST_XDIST_WORKER" not in os.environ, reason="there are no workers to choose from")
def test_groups_are_respected(request: pytest.FixtureRequest) -> None:
    """pytest-xdist appends the group to a test's id and reads it from there (pytest-xdist #1386)."""
    assert request.node.nodeid.endswith("@together")
