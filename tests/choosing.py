"""Many small random choices from few Hypothesis draws: a draw takes some twenty times as long as a byte.

A page, a rule or a span of days needs dozens of choices among a few options. Each choice uses one byte of a larger
draw. A byte of 0 selects the first option, so failing examples still shrink to the first options. Hypothesis tends to
repeat values between draws of the same kind. To avoid that, take all choices from one large draw.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from hypothesis import strategies as st

T = TypeVar("T")


class Chooser:
    """Chooses among options with (up to rounding) equal probability."""

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
        """One of the options: one byte for up to 256 options, two bytes for up to 65,536."""
        n = len(options)
        return options[self.byte() * n >> 8] if n <= 256 else options[(self.byte() << 8 | self.byte()) * n >> 16]

    def flip(self, of: int = 2) -> bool:
        """True with probability 1 / `of`."""
        return self.byte() * of < 256

    def some(self, options: Sequence[T], most: int, least: int = 0) -> list[T]:
        """From `least` to `most` options, with repetition."""
        return [self.one(options) for _ in range(self.one(range(least, most + 1)))]

    def order(self, options: Sequence[T]) -> list[T]:
        """All of the options, in random order."""
        left = list(options)
        return [left.pop(self.one(range(len(left)))) for _ in options]
