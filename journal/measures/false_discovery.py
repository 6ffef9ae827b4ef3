"""Control of the false discovery rate over many comparisons."""

from __future__ import annotations

import numpy as np
import polars as pl

CLEAR = 0.05
"""The false discovery rate: the expected share of false positives among the rows that are called clear."""
_ROUNDING = 1e-12


def benjamini_hochberg(p: pl.Series) -> pl.Series:
    """The q of each p: the lowest false discovery rate at which it would still be called clear.

    Benjamini, Y. and Hochberg, Y. (1995), J. R. Stat. Soc. B 57, 289-300: q(i) = min over j >= i of p(j) m / j, with m
    the number of values. In: Float64. Out: Float64, in the same order and with the same name. Nulls stay null and do
    not count in m.

    >>> benjamini_hochberg(pl.Series("p", [0.01, None, 0.04, 0.03])).to_list()
    [0.03, None, 0.04, 0.04]
    """
    known = p.drop_nulls().to_numpy()
    m = known.size
    order = np.argsort(known, kind="stable")
    scaled = known[order] * m / np.arange(1, m + 1)
    q = np.empty(m)
    q[order] = np.minimum(np.minimum.accumulate(scaled[::-1])[::-1], 1.0)
    whole = np.full(p.len(), np.nan)
    whole[p.is_not_null().to_numpy()] = q
    return pl.Series(p.name, whole).fill_nan(None)


def is_clear(q: pl.Expr) -> pl.Expr:
    """Whether a q (Float64) is at most `CLEAR`; null stays null. The tolerance makes 17 times 1/340 count as 0.05."""
    return q <= CLEAR * (1 + _ROUNDING)


def together(*frames: pl.DataFrame) -> tuple[pl.DataFrame, ...]:
    """The frames with q (Float64) and clear (Boolean), adjusted over the rows of all frames together.

    q is computed from p_fine in a frame that has that column, else from p. A frame of `links.links` keeps its clear,
    which is decided over the life of the journal.

    >>> one, other = together(pl.DataFrame({"p": [0.01, 0.9]}), pl.DataFrame({"p": [0.02]}))
    >>> one.get_column("q").to_list(), other.get_column("clear").to_list()
    ([0.03, 0.9], [True])
    """
    if not frames:
        return ()
    columns = ["p_fine" if "p_fine" in frame.columns else "p" for frame in frames]
    q = benjamini_hochberg(
        pl.concat([frame.get_column(p).cast(pl.Float64).alias("p") for frame, p in zip(frames, columns, strict=True)])
    )
    ends = np.cumsum([0, *(frame.height for frame in frames)]).tolist()
    return tuple(
        frame.with_columns(q.slice(start, frame.height).alias("q")).with_columns(
            pl.col("clear") if "told" in frame.columns else is_clear(pl.col("q")).alias("clear")
        )
        for frame, start in zip(frames, ends, strict=False)
    )
