"""Tick values of an axis."""

from __future__ import annotations

import math


def steps(low: float, high: float, most: int = 5) -> list[float]:
    """Round tick values that cover `low` to `high`: the first is at most `low`, the last at least `high`.

    Ticks are 1, 2 or 5 times a power of ten apart, and there are about `most` at most. An empty span counts as 1 wide.

    >>> steps(0, 2930), steps(-0.3, 0.74), steps(3, 3)
    ([0, 1000, 2000, 3000], [-0.5, 0, 0.5, 1], [3, 3.5, 4])
    """
    span = high - low
    if not math.isfinite(span) or span <= 0:
        low, span = (math.floor(low), 1) if math.isfinite(low) else (0, 1)
        high = low + 1
    power = 10.0 ** math.floor(math.log10(span / max(1, most - 1)))
    size = next(power * m for m in (1, 2, 5, 10) if span / (power * m) <= max(1, most - 1) + 1e-9)
    first, last = math.floor(low / size + 1e-9), math.ceil(high / size - 1e-9)
    places = max(0, -math.floor(math.log10(size) + 1e-9))
    ticks = [round(i * size, places) for i in range(first, last + 1)]
    return [int(v) if v == int(v) else v for v in ticks]
