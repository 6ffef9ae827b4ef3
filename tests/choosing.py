"""Many small choices for Hypothesis out of few draws: it takes some twenty times as long over a draw as over a byte.

A page, a rule or a stretch of days is made of dozens of choices among a handful. Each takes one byte of a draw of many,
the first option where the byte is 0, so what fails still shrinks, choice by choice, to the first options. Of several
draws of one kind Hypothesis likes to put one in the place of another: where that is not wanted, all comes out of one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from hypothesis import strategies as st

T = TypeVar("T")


class Chooser:
    """Chooses among options, all of them (but for a rounding) equally likely."""

    def __init__(self, draw: Callable[[st.SearchStrategy[bytes]], bytes], *, at_once: int = 64) -> None:
        self.draw, self.block = draw, st.binary(min_size=at_once, max_size=at_once)
        self.bytes: Iterator[int] = iter(b"")

    def byte(self) -> int:
        """A number from 0 to 255."""
        for byte in self.bytes:
            return byte
        self.bytes = iter(self.draw(self.block))
        return next(self.bytes)

    def one(self, options: Sequence[T]) -> T:
        """One of at most 256 options, or of 65,536 and for two bytes."""
        n = len(options)
        return options[self.byte() * n >> 8] if n <= 256 else options[(self.byte() << 8 | self.byte()) * n >> 16]

    def flip(self, of: int = 2) -> bool:
        """True one time in so many."""
        return self.byte() * of < 256

    def some(self, options: Sequence[T], most: int, least: int = 0) -> list[T]:
        """A few of the options, each as often as it comes."""
        return [self.one(options) for _ in range(self.one(range(least, most + 1)))]

    def order(self, options: Sequence[T]) -> list[T]:
        """All of the options, in any order."""
        left = list(options)
        return [left.pop(self.one(range(len(left)))) for _ in options]
