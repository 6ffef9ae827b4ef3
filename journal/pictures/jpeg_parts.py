"""A JPEG file reduced to what decoding needs, without decoding it: no pixel changes.

Kept are the tables, frames and scans, each checked to be exactly as long as its content, the colours of an ICC profile,
and the orientation. All application data, comments and whatever stands behind the end are left out: EXIF with its
thumbnail and maker notes, XMP, IPTC, second pictures, films.

Sources: ITU-T T.81 annex B; JFIF 1.02; Adobe TN 5116 for APP14; ICC.1:2022 annex B.4 for APP2.
"""

from __future__ import annotations

import struct

from journal.pictures import colour_profile, orientation

_JFIF = b"JFIF\0\1\2\0\0\1\0\1\0\0"  # no unit, square pixels, no thumbnail
_PROFILE = b"ICC_PROFILE\0"
_PROFILE_PART = 65_519  # bytes of a profile in a segment
_SCANS = 100  # a file that is refined in more scans is made to take time
_KEPT_FRAMES = (0xC0, 0xC1, 0xC2)  # baseline, extended, progressive; of Huffman's codes, which all decoders have
_DQT, _DHT, _DRI, _SOS, _EOI, _APP0, _APP1, _APP2, _APP14, _COM = (
    0xDB, 0xC4, 0xDD, 0xDA, 0xD9, 0xE0, 0xE1, 0xE2, 0xEE, 0xFE,
)  # fmt: skip


class UnusualError(ValueError):
    """The file has a part that is not copied as it is, so the picture has to be drawn anew."""


def cleaned(data: bytes) -> bytes:
    """Return the file with the same pixels and without everything else. The result is stable when cleaned again.

    Raises UnusualError for a file that cannot be copied part by part: of four colours, arithmetic codes, tables with
    more in them than a decoder reads, or a profile that is not one of primaries and curves.
    """
    return _JpegCopy(data).whole()


class _JpegCopy:
    def __init__(self, data: bytes) -> None:
        self.data, self.at = data, 2
        self.parts: list[bytes] = []
        self.profile: dict[int, bytes] = {}
        self.turned, self.has_jfif, self.adobe = orientation.UPRIGHT, False, b""
        self.components, self.scans = 0, 0

    def whole(self) -> bytes:
        while (marker := self._marker()) != _EOI:
            self._segment(marker, self._content())
        if not self.scans:
            raise UnusualError("no scan")
        # Both say which colours the components are, and a file without them says it in another way.
        head = [_segment(_APP0, _JFIF)] if self.has_jfif else []
        if self.turned != orientation.UPRIGHT:
            head.append(_segment(_APP1, orientation.exif(self.turned)))
        head += self._colours() + ([_segment(_APP14, self.adobe)] if self.adobe else [])
        return b"".join([b"\xff\xd8", *head, *self.parts, b"\xff\xd9"])

    def _marker(self) -> int:
        """Return the next marker. Fill bytes before it are left out."""
        data, at = self.data, self.at
        if data[at : at + 1] != b"\xff":
            raise UnusualError("no marker")
        while data[at : at + 1] == b"\xff":
            at += 1
        self.at = at + 1
        if at >= len(data) or data[at] in (0x00, 0x01, *range(0xD0, 0xD9)):
            raise UnusualError("an unexpected marker")
        return data[at]

    def _content(self) -> bytes:
        length = int.from_bytes(self.data[self.at : self.at + 2], "big")
        content = self.data[self.at + 2 : self.at + length]
        if length < 2 or len(content) != length - 2:
            raise UnusualError("a segment breaks off")
        self.at += length
        return content

    def _segment(self, marker: int, content: bytes) -> None:
        if marker in (_DQT, _DHT, _DRI, *_KEPT_FRAMES):
            _EXACT[marker](content)
            if marker in _KEPT_FRAMES:
                self._frame(content)
            self.parts.append(_segment(marker, content))
        elif marker == _SOS:
            self._scan(content)
        elif marker == _APP0 and content.startswith(b"JFIF\0"):
            self.has_jfif = True
        elif marker == _APP1 and content.startswith(b"Exif\0"):
            self.turned = orientation.of_tiff(content)
        elif marker == _APP2 and content.startswith(_PROFILE) and len(content) > len(_PROFILE) + 2:
            self.profile[content[len(_PROFILE)]] = content[len(_PROFILE) + 2 :]
        elif marker == _APP14 and content.startswith(b"Adobe") and len(content) >= 12:
            self.adobe = b"Adobe\0\x64\0\0\0\0" + content[11:12]
        elif marker not in range(_APP0, 0xF0) and marker != _COM:
            raise UnusualError(f"a segment {marker:x}")

    def _frame(self, content: bytes) -> None:
        if self.components or content[0] != 8 or content[5] not in (1, 3):
            raise UnusualError("another frame than of 8 bits in one or three colours")
        self.components = content[5]

    def _scan(self, content: bytes) -> None:
        """Copy a scan with its codes, up to the next marker that is none of a restart."""
        self.scans += 1
        if not self.components or self.scans > _SCANS or len(content) != 4 + 2 * (content or b"\0")[0]:
            raise UnusualError("a scan out of place")
        start = end = self.at
        while True:
            end = self.data.find(b"\xff", end)
            if end < 0 or end + 1 >= len(self.data):
                raise UnusualError("a scan breaks off")
            if self.data[end + 1] not in (0x00, *range(0xD0, 0xD8)):
                break
            end += 2
        self.at = end
        self.parts.append(_segment(_SOS, content) + self.data[start:end])

    def _colours(self) -> list[bytes]:
        if not self.profile:
            return []
        kept = colour_profile.colours_of(b"".join(self.profile[number] for number in sorted(self.profile)))
        if kept is None:
            raise UnusualError("another profile")
        parts = [kept[at : at + _PROFILE_PART] for at in range(0, len(kept), _PROFILE_PART)]
        heads = (bytes([number, len(parts)]) for number in range(1, len(parts) + 1))
        return [_segment(_APP2, _PROFILE + head + part) for head, part in zip(heads, parts, strict=True)]


def _segment(marker: int, content: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(content) + 2) + content


def _quantization(content: bytes) -> None:
    at = 0
    while at < len(content):
        at += 1 + 64 * (2 if content[at] >> 4 else 1)
    _refuse_rest(content, at)


def _codes(content: bytes) -> None:
    at = 0
    while at + 17 <= len(content):
        at += 17 + sum(content[at + 1 : at + 17])
    _refuse_rest(content, at)


def _interval(content: bytes) -> None:
    _refuse_rest(content, 2)


def _frame_head(content: bytes) -> None:
    _refuse_rest(content, 6 + 3 * content[5] if len(content) > 5 else -1)


def _refuse_rest(content: bytes, size: int) -> None:
    if len(content) != size:
        raise UnusualError("a table with something behind it")


_EXACT = {_DQT: _quantization, _DHT: _codes, _DRI: _interval} | dict.fromkeys(_KEPT_FRAMES, _frame_head)
"""The check of each kept segment: that it ends with its content."""
