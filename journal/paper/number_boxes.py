"""The number boxes of a counted habit: a few numbers that add up."""

from __future__ import annotations

import math

_MANTISSAS = (1, 2, 5)
_TIMES = (1, 2, 4)


def values(target: float, aim: str) -> tuple[float, ...]:
    """The numbers of the boxes, for a target and its aim ("at least" or "at most").

    They are a round number of at most a third of the target, its double and its fourfold: they add up to every multiple
    below the eightfold. A limit has a box for zero as well, since zero is then something to say.

    >>> values(20, "at least"), values(30, "at most"), values(10_000, "at least")
    ((5.0, 10.0, 20.0), (0.0, 10.0, 20.0, 40.0), (2000.0, 4000.0, 8000.0))
    >>> values(1, "at least"), values(0, "at most"), values(0.5, "at least")
    ((1.0, 2.0, 4.0), (0.0, 1.0, 2.0, 4.0), (0.1, 0.2, 0.4))
    """
    third = target / 3
    whole = float(target).is_integer()
    if third <= 0 or (whole and third < 1):
        unit = 1.0
    else:
        power = 10.0 ** math.floor(math.log10(third))
        unit = max(mantissa * power for mantissa in _MANTISSAS if mantissa * power <= third * 1.0001)
    numbers = tuple(round(unit * times, 6) for times in _TIMES)
    return (0.0, *numbers) if aim == "at most" else numbers
