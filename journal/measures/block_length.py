"""How long blocks of days must be, so that cutting a series between them loses little of what joins its days."""

from __future__ import annotations

import numpy as np

from journal.measures.circular_shift import Numbers

_FEWEST_BLOCKS = 4
"""A block is at most a quarter of the series, so it has at least four."""


def block_length(parts: Numbers) -> int:
    """The block length in days, for a statistic that is a sum of the daily `parts`.

    It is (6 (r / (1 - r^2))^2 n)^(1/3), with r the lag-1 autocorrelation: Politis, D. N. and White, H. (2004), Econom.
    Rev. 23, 53-70, for a first-order autoregressive series. The minimum is n^(1/3), the order of the blocks of Künsch,
    H. R. (1989), Ann. Stat. 17, 1217-1241. The maximum is a quarter of the series.

    >>> block_length(np.tile([1.0, -1.0], 180)), block_length(np.sin(np.arange(360) / 10))
    (8, 90)
    """
    n = parts.size
    deviations = parts - parts.mean()
    spread = float(deviations @ deviations)
    r = float(np.clip(deviations[1:] @ deviations[:-1] / spread, 0, 0.99)) if spread > 0 else 0.0
    best = (6 * (r / (1 - r * r)) ** 2 * n) ** (1 / 3)
    return int(np.clip(np.ceil(max(best, n ** (1 / 3))), 1, max(n // _FEWEST_BLOCKS, 1)))
