"""Tests of one group run on one worker: the browser tests, and what a module makes once for all of its tests."""

from __future__ import annotations

import os

import pytest


@pytest.mark.xdist_group("together")
@pytest.mark.skipif("PYTEST_XDIST_WORKER" not in os.environ, reason="there are no workers to choose from")
def test_groups_are_heeded(request: pytest.FixtureRequest) -> None:
    """pytest-xdist reads the group of a test from the end of its id, where it put it (its issue 1386)."""
    assert request.node.nodeid.endswith("@together")
