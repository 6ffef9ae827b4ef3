"""Where on its scale a mood is low or high, and when low days have lasted, without frames.

`low_stretches` has the published rule and its source. `duskbook log` and what is kept of the days need its days at
once, before any library of frames is there.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from journal.settings import Scale

LOW_UP_TO, HIGH_FROM = 0.4, 0.6
"""Shares of the scale. A mood up to the first is low, and from the second on high: of five steps the lower two, and the
upper two."""

WINDOW, NEEDED = 14, 12
"""The newest days on which mood was noted that are looked at, and how many of them have to be low."""

LowOn = Callable[[int], bool | None]
"""Whether the mood of a day is low, by the ordinal of the day; None if none was noted."""


def is_low(mood: float | None, scale: Scale) -> bool | None:
    """Whether a mood is low. None for none.

    >>> from journal.settings import Scale
    >>> is_low(2, Scale()), is_low(3, Scale()), is_low(None, Scale())
    (True, False, None)
    """
    return None if mood is None else (mood - scale.low) / (scale.high - scale.low) <= LOW_UP_TO


def first_low_stretch(low_on: LowOn, *, first: int, last: int) -> int | None:
    """The first day, from `first` to `last`, on which `low_stretches.signs` has a sign in mood; None without one.

    Days are ordinals. `low_on` is asked for days that are up to two windows before the first, and none after the last.

    >>> first_low_stretch(lambda day: day != 7, first=100, last=130), first_low_stretch(bool, first=20, last=20)
    (100, 20)
    """
    noted: deque[tuple[int, bool]] = deque(maxlen=WINDOW)
    oldest = 2 * WINDOW - 1  # the days of a window lie within twice its length
    for day in range(max(1, first - oldest), last + 1):
        low = low_on(day)
        if low is not None:
            noted.append((day, low))
        if day >= first and len(noted) == WINDOW and noted[0][0] >= day - oldest and sum(n[1] for n in noted) >= NEEDED:
            return day
    return None


class LowDays(NamedTuple):
    """A byte for each day from the ordinal `first`: its mood is low, is not, or was not noted.

    >>> lows = LowDays.of({3: True, 5: False}, range(3, 7))
    >>> lows.codes, [lows.on(day) for day in range(2, 6)], lows.with_day(4, True).codes
    (b'l-h-', [None, True, None, False], b'llh-')
    """

    first: int = 0
    codes: bytes = b""

    @classmethod
    def of(cls, lows: Mapping[int, bool], days: range) -> LowDays:
        """The bytes of a range of days."""
        return cls(days.start, b"".join(_CODES[lows.get(day)] for day in days))

    def on(self, day: int) -> bool | None:
        """Whether the mood of a day is low, None if none was noted or the day is not among these."""
        place = day - self.first
        return _LOWS[self.codes[place : place + 1]] if 0 <= place < len(self.codes) else None

    def with_day(self, day: int, low: bool | None) -> LowDays:
        """The same with another mood of a day, if the day is among these."""
        place = day - self.first
        if not 0 <= place < len(self.codes):
            return self
        return LowDays(self.first, self.codes[:place] + _CODES[low] + self.codes[place + 1 :])


_CODES = {True: b"l", False: b"h", None: b"-"}
_LOWS = {code: low for low, code in _CODES.items()}
