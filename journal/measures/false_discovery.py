"""Many comparisons at once: how much of what is called clear may be chance."""

from __future__ import annotations

import numpy as np
import polars as pl

CLEAR = 0.05
"""Of what is called clear, at most this share is expected to be chance."""
_ROUNDING = 1e-12


def benjamini_hochberg(p: pl.Series) -> pl.Series:
    """Each p among all of them: the least share of false ones at which it would still be called clear.

    Benjamini, Y. and Hochberg, Y. (1995), J. R. Stat. Soc. B 57, 289-300: q(i) = min over j >= i of p(j) m / j. In:
    Float64. Out: Float64, in the same order and with the same name; a null is not among the m and stays null.

    >>> benjamini_hochberg(pl.Series("p", [0.01, None, 0.04, 0.03])).to_list()
    [0.03, None, 0.04, 0.04]
    """
    known = p.drop_nulls().to_numpy()
    m = known.size
    order = np.argsort(known, kind="stable")
    stepped = known[order] * m / np.arange(1, m + 1)
    q = np.empty(m)
    q[order] = np.minimum(np.minimum.accumulate(stepped[::-1])[::-1], 1.0)
    whole = np.full(p.len(), np.nan)
    whole[p.is_not_null().to_numpy()] = q
    return pl.Series(p.name, whole).fill_nan(None)


def is_clear(q: pl.Expr) -> pl.Expr:
    """Whether a q (Float64) is called clear; null where it is. 1/340 of 17 is 0.05, however it is rounded."""
    return q <= CLEAR * (1 + _ROUNDING)


def together(*frames: pl.DataFrame) -> tuple[pl.DataFrame, ...]:
    """Frames that are shown side by side, with q (Float64) and clear (Boolean) over the p of all of them; over p_fine
    where a frame has that column.

    >>> one, other = together(pl.DataFrame({"p": [0.01, 0.9]}), pl.DataFrame({"p": [0.02]}))
    >>> one.get_column("q").to_list(), other.get_column("clear").to_list()
    ([0.03, 0.9], [True])
    """
    if not frames:
        return ()
    finest = ["p_fine" if "p_fine" in frame.columns else "p" for frame in frames]
    q = benjamini_hochberg(
        pl.concat([frame.get_column(p).cast(pl.Float64).alias("p") for frame, p in zip(frames, finest, strict=True)])
    )
    ends = np.cumsum([0, *(frame.height for frame in frames)]).tolist()
    return tuple(
        frame.with_columns(q.slice(start, frame.height).alias("q")).with_columns(is_clear(pl.col("q")).alias("clear"))
        for frame, start in zip(frames, ends, strict=False)
    )
