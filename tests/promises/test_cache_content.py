"""A small part of the campaign, with the same code."""

from __future__ import annotations

from tests.promises import cache_content


def test_whatever_lies_in_the_cache() -> None:
    assert cache_content.run(10, seed=1) == []
