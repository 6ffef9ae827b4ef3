"""The corner codes of a sheet: Data Matrix ECC 200 (ISO/IEC 16022) of 12 by 12 modules, with ten digits each.

The digits are one number in a mixed radix: which corner, which kind of sheet and version of its layout, which part of
several, the first day of its period, and a quarter of the digest of its columns. Three corners suffice to read it.
There is no text of the journal in them.
"""

from __future__ import annotations

import datetime as dt
import functools
from typing import Literal, NamedTuple

import numpy as np
import zxingcpp

from journal.paper import frame

PaperKind = Literal["day", "month", "year"]

KINDS: tuple[PaperKind, ...] = ("day", "month", "year")
CORNERS = 4
MOST_PARTS = 8
VERSION = 0
"""Of the layouts. A change of places needs the next; the digits have room for one more."""

PIECE_BITS = 9
DIGITS = 10

WHOLE_PIECE = (1 << PIECE_BITS) - 1

_VERSIONS = 2
_PIECES = 1 << PIECE_BITS
_DAY_ZERO = dt.date(1950, 1, 1)
_DAYS = 73_050  # 200 years


class CornerCode(NamedTuple):
    """What one corner says. `piece` is its quarter of the digest, that of the first corner first."""

    corner: int
    kind: PaperKind
    part: int
    first: dt.date
    piece: int


def text(code: CornerCode) -> str:
    """The digits of a corner.

    >>> code = CornerCode(2, "month", 0, dt.date(2025, 4, 1), 77)
    >>> text(code), read(text(code)) == code
    ('2108561485', True)

    Raises ValueError if a date or a part has no place in it.
    """
    days = (code.first - _DAY_ZERO).days
    if not (0 <= days < _DAYS and 0 <= code.part < MOST_PARTS):
        raise ValueError(f"no code for {code.first}, part {code.part}")
    number = VERSION
    for value, radix in (
        (code.corner, CORNERS),
        (KINDS.index(code.kind), len(KINDS)),
        (code.part, MOST_PARTS),
        (days, _DAYS),
        (code.piece, _PIECES),
    ):
        number = number * radix + value
    return f"{number:0{DIGITS}}"


def read(digits: str) -> CornerCode | None:
    """What the digits of a corner say, or None if they are no corner's.

    >>> read("9999999999"), read("123456"), read("EN 13432")
    (None, None, None)
    """
    if len(digits) != DIGITS or not (digits.isascii() and digits.isdigit()):
        return None
    number = int(digits)
    values = []
    for radix in (_PIECES, _DAYS, MOST_PARTS, len(KINDS), CORNERS):
        number, value = divmod(number, radix)
        values.append(value)
    piece, days, part, kind, corner = values
    if number != VERSION:
        return None
    return CornerCode(corner, KINDS[kind], part, _DAY_ZERO + dt.timedelta(days=days), piece)


def pieces(digest: int) -> tuple[int, ...]:
    """The quarters of a digest, one for each corner.

    >>> pieces(0b000000001_000000010_000000011_000000100)
    (1, 2, 3, 4)
    """
    return tuple(digest >> PIECE_BITS * (CORNERS - 1 - nth) & (_PIECES - 1) for nth in range(CORNERS))


@functools.lru_cache(maxsize=64)
def modules(digits: str) -> tuple[tuple[bool, ...], ...]:
    """The dark modules of a code, a row each, without a quiet zone."""
    made = zxingcpp.create_barcode(digits, zxingcpp.BarcodeFormat.DataMatrix).to_image(scale=1, add_quiet_zones=False)
    dark = np.asarray(made) < 128
    assert dark.shape == (frame.MODULES, frame.MODULES)
    return tuple(tuple(bool(module) for module in row) for row in dark)
