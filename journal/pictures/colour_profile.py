"""The colours of an ICC profile without the rest of it: descriptions, makers, dates and numbers of a device.

Only profiles of three primaries and curves are kept, which cameras and telephones write. A picture with another profile
is drawn anew in sRGB. Source: ICC.1:2022 (ISO 15076-1), clauses 7, 9 and 10.
"""

from __future__ import annotations

import struct

_SIZE_LIMIT = 2_000_000
_HEAD, _ENTRY = 128, 12
_TAGS_OF_SPACE = {
    b"RGB ": (b"wtpt", b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC"),
    b"GRAY": (b"wtpt", b"kTRC"),
}
_OPTIONAL = (b"chad",)
_D50 = bytes.fromhex("0000f6d6000100000000d32d")  # the illuminant of every profile, clause 7.2.16
_DATE = struct.pack(">6H", 2000, 1, 1, 0, 0, 0)  # every profile has one, and some programs take none of year 0
_LONGEST_CURVE = 4_096
_CURVE_PARAMETERS = (1, 3, 4, 5, 7)  # of each kind of parametric curve, clause 10.18
_TAG_LIMIT = 100


def colours_of(profile: bytes) -> bytes | None:
    """Return a profile with the same colours and nothing else; None for a kind of profile that is not kept.

    The result has fixed words as its description, no date, and no maker.

    >>> colours_of(b"") is None
    True
    """
    if not _HEAD + 4 <= len(profile) <= _SIZE_LIMIT or profile[36:40] != b"acsp" or profile[20:24] != b"XYZ ":
        return None
    version, wanted = profile[8], _TAGS_OF_SPACE.get(profile[16:20])
    if version not in (2, 4) or wanted is None:
        return None
    try:
        found = _tags(profile, (*wanted, *_OPTIONAL))
        kept = {name: _value(name, found[name]) for name in (*wanted, *_OPTIONAL) if name in found}
    except (ValueError, struct.error):
        return None
    if not set(wanted) <= kept.keys():
        return None
    words = {b"desc": _text(version, "Colours"), b"cprt": _text(version, "None", is_plain=True)}
    return _profile(profile, words | kept)


def _tags(profile: bytes, wanted: tuple[bytes, ...]) -> dict[bytes, bytes]:
    (count,) = struct.unpack_from(">I", profile, _HEAD)
    if count > _TAG_LIMIT:
        raise ValueError("more tags than a profile has")
    found = {}
    for i in range(count):
        name, at, size = struct.unpack_from(">4sII", profile, _HEAD + 4 + _ENTRY * i)
        if name in (b"A2B0", b"B2A0", b"D2B0"):
            raise ValueError("its colours are in a table")
        if name in wanted:
            if at + size > len(profile):
                raise ValueError("a tag breaks off")
            found[name] = profile[at : at + size]
    return found


def _value(name: bytes, data: bytes) -> bytes:
    """Return the value of a tag up to its own length. Raises ValueError for another kind of value."""
    kind = data[:4]
    if name in (b"wtpt", b"rXYZ", b"gXYZ", b"bXYZ") and kind == b"XYZ ":
        size = 20
    elif name == b"chad" and kind == b"sf32":
        size = 44
    elif name.endswith(b"TRC") and kind == b"curv":
        (count,) = struct.unpack_from(">I", data, 8)
        if count > _LONGEST_CURVE:
            raise ValueError("a long curve")
        size = 12 + 2 * count
    elif name.endswith(b"TRC") and kind == b"para":
        (function,) = struct.unpack_from(">H", data, 8)
        if function >= len(_CURVE_PARAMETERS):
            raise ValueError("an unknown curve")
        return kind + bytes(4) + data[8:10] + bytes(2) + _exactly(data[12:], 4 * _CURVE_PARAMETERS[function])
    else:
        raise ValueError("a value of another kind")
    return kind + bytes(4) + _exactly(data, size)[8:]


def _exactly(data: bytes, size: int) -> bytes:
    if len(data) < size:
        raise ValueError("a value breaks off")
    return data[:size]


def _text(version: int, words: str, *, is_plain: bool = False) -> bytes:
    """Return the value of a tag of text: of version 4, one record; of version 2, ASCII and two empty forms."""
    if version == 4:
        encoded = words.encode("utf-16-be")
        return struct.pack(">4sIII2s2sII", b"mluc", 0, 1, 12, b"en", b"US", len(encoded), 28) + encoded
    ascii_words = words.encode() + b"\0"
    if is_plain:
        return struct.pack(">4sI", b"text", 0) + ascii_words
    return struct.pack(">4sII", b"desc", 0, len(ascii_words)) + ascii_words + bytes(4 + 4 + 2 + 1 + 67)


def _profile(profile: bytes, tags: dict[bytes, bytes]) -> bytes:
    table, data = struct.pack(">I", len(tags)), b""
    start = _HEAD + 4 + _ENTRY * len(tags)
    for name, value in tags.items():
        table += struct.pack(">4sII", name, start + len(data), len(value))
        data += value + bytes(-len(value) % 4)
    intent = profile[64:68] if profile[64:68] in (struct.pack(">I", i) for i in range(4)) else bytes(4)
    head = struct.pack(">I4s4s4s4s4s12s4s24s4s12s48s", start + len(data), b"", bytes([profile[8], 0, 0, 0]),
                       b"mntr", profile[16:20], b"XYZ ", _DATE, b"acsp", b"", intent, _D50, b"")  # fmt: skip
    return head + table + data
