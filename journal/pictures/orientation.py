"""Which way up a picture is: the one value of its EXIF data that is kept, in an EXIF block of its own.

Source: EXIF 3.0 (CIPA DC-008), tag 0x0112; TIFF 6.0, image file directories.
"""

from __future__ import annotations

import struct

UPRIGHT = 1
_TAG, _SHORT = 0x0112, 3
_HEADER = b"Exif\0\0"


def of_tiff(block: bytes) -> int:
    """Return the orientation, 1 to 8, of EXIF data in TIFF form. 1 where it has none or cannot be read.

    >>> of_tiff(tiff(6)), of_tiff(b"MM\\0*"), of_tiff(tiff(6)[:-10])
    (6, 1, 1)
    """
    block = block.removeprefix(_HEADER)
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(block[:4])
    if order is None:
        return UPRIGHT
    try:
        (at,) = struct.unpack_from(f"{order}I", block, 4)
        (count,) = struct.unpack_from(f"{order}H", block, at)
        for entry in range(count):
            tag, kind, number, value = struct.unpack_from(f"{order}HHIH", block, at + 2 + 12 * entry)
            if tag == _TAG:
                return value if kind == _SHORT and number == 1 and 1 <= value <= 8 else UPRIGHT
    except struct.error:
        return UPRIGHT
    return UPRIGHT


def of_file(data: bytes, kind: str) -> int:
    """Return the orientation of a picture from its bytes. 1 for a format whose decoder turns it.

    >>> of_file(b"\\xff\\xd8\\xff\\xe1\\0\\x22" + exif(6) + b"\\xff\\xda", "JPEG")
    6
    """
    at = -1
    if kind == "JPEG":
        at = data.find(_HEADER, 0, max(0, data.find(b"\xff\xda")))
    elif kind in ("PNG", "WebP"):
        name = b"eXIf" if kind == "PNG" else b"EXIF"
        found = data.find(name)
        at = found + (4 if kind == "PNG" else 8) if found >= 0 else -1
    return of_tiff(data[at : at + 65_536]) if at >= 0 else UPRIGHT


def tiff(orientation: int) -> bytes:
    """Return EXIF data in TIFF form that has an orientation and nothing else.

    >>> len(tiff(6))
    26
    """
    return struct.pack(">4sIHHHIHHI", b"MM\0*", 8, 1, _TAG, _SHORT, 1, orientation, 0, 0)


def exif(orientation: int) -> bytes:
    """Return the same as a JPEG has it."""
    return _HEADER + tiff(orientation)
