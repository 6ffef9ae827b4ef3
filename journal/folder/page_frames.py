"""The frames of a journal's pages: those a snapshot has, without pages that are gone since, with those read since.

A frame is unpacked when it is asked for, and is not kept here: the page of a day looks at four of the ten.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

import polars as pl

Frames = Mapping[str, pl.DataFrame]
Schemas = Mapping[str, Mapping[str, Any]]

BROKEN = (ValueError, KeyError, OSError, pl.exceptions.PolarsError, pl.exceptions.PanicException)
"""What polars raises where bytes are no Parquet, or of other columns. Its panic is no Exception."""


class PageFrames(Mapping[str, pl.DataFrame]):
    """Frames by name, sorted by path, without `path`: that column takes as long to unpack as the others together.

    >>> kept = pl.DataFrame({"path": ["a", "c"], "mood": [4, 2]})
    >>> frames = PageFrames({"days": parquet(kept)}, {"days": kept.schema})
    >>> later = frames.without({"c"}).joined({"days": pl.DataFrame({"path": ["b", "c"], "mood": [3, 5]})})
    >>> frames["days"].rows(), later["days"].rows()
    ([(4,), (2,)], [(4,), (3,), (5,)])
    """

    def __init__(
        self,
        kept: Mapping[str, bytes | pl.DataFrame],
        schemas: Schemas,
        gone: frozenset[str] = frozenset(),
        read: Frames | None = None,
    ) -> None:
        """`kept` are frames with `path`, or Parquet of them; `gone` are paths whose rows in them are no longer valid,
        and `read` has the rows of pages that were read since."""
        self._kept, self._schemas, self._gone, self._read = kept, schemas, gone, read or {}
        self._read_again: Frames | None = None
        self.afresh: Callable[[], Frames] | None = None
        """Reads all pages, for where what was kept cannot be unpacked. Without it, one of `BROKEN` is raised."""

    def __getitem__(self, name: str) -> pl.DataFrame:
        return self._frame(name, list(self._schemas[name])[1:])

    def __iter__(self) -> Iterator[str]:
        return iter(self._schemas)

    def __len__(self) -> int:
        return len(self._schemas)

    def with_path(self, name: str) -> pl.DataFrame:
        """The frame of a name, with `path`."""
        return self._frame(name, list(self._schemas[name]))

    def without(self, paths: Collection[str]) -> PageFrames:
        """The frames without the rows of some pages."""
        read = {name: frame.filter(~pl.col("path").is_in(paths)) for name, frame in self._read.items()}
        return PageFrames(self._kept, self._schemas, self._gone.union(paths), read)

    def joined(self, read: Frames) -> PageFrames:
        """The frames with the rows of further pages."""
        rows = {name: [part[name] for part in (self._read, read) if name in part] for name in self._schemas}
        more = {name: pl.concat(parts) for name, parts in rows.items() if parts}
        return PageFrames(self._kept, self._schemas, self._gone, more)

    def _frame(self, name: str, columns: list[str]) -> pl.DataFrame:
        if self._read_again is None:
            try:
                return self._joined(name).select(columns) if self._changed else self._unpacked(name, columns)
            except BROKEN:
                if self.afresh is None:
                    raise
                self._read_again = self.afresh()
        return self._read_again[name].select(columns)

    @property
    def _changed(self) -> bool:
        return bool(self._gone or self._read)

    def _joined(self, name: str) -> pl.DataFrame:
        valid = self._unpacked(name, list(self._schemas[name])).filter(~pl.col("path").is_in(self._gone))
        if name not in self._read:
            return valid
        frame = pl.concat([valid, self._read[name]], rechunk=True)
        # The page of today has the last rows of most frames, and to sort them takes longer than to unpack them.
        return frame if frame.get_column("path").is_sorted() else frame.sort("path", maintain_order=True)

    def _unpacked(self, name: str, columns: list[str]) -> pl.DataFrame:
        kept = self._kept[name]
        if isinstance(kept, pl.DataFrame):
            return kept.select(columns)
        frame = pl.read_parquet(io.BytesIO(kept), columns=columns)
        if frame.schema != pl.Schema({column: self._schemas[name][column] for column in columns}):
            raise ValueError(f"{name} has other columns")
        return frame


def parquet(frame: pl.DataFrame) -> bytes:
    """A frame as Parquet, as `PageFrames` takes it."""
    buffer = io.BytesIO()
    frame.write_parquet(buffer, compression="lz4", statistics=False)
    return buffer.getvalue()
