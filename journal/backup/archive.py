"""The format of a backup: a plain tar file (POSIX.1-2001, "pax"), first the manifest, then the files in its order.

Times, owners and modes are fixed, so the names and bytes of a journal alone decide those of its backup. Headers are
made here and not by `tarfile`: its bytes have changed between versions of Python. A reader accepts exactly what a
writer makes, so any changed byte is noticed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Protocol

from journal.backup import manifest
from journal.errors import BackupError
from journal.language import digits
from journal.language.catalogue import _

BLOCK = 512
RECORD = 20 * BLOCK
"""The length of a tar file is a multiple of this."""
CHUNK = 1 << 18
"""Bytes that are read at a time."""

FILE_SIZE_LIMIT = 8**11 - 1
"""Bytes of one file, 8 GiB: a tar header has eleven octal digits for it."""
SIZE_LIMIT = 100_000_000_000
"""Bytes of all files."""

_MODIFIED = 315_532_800  # 1980-01-01 UTC: programs warn of a file from 1970, and a zip file begins in 1980
_NAME_BYTES = 100
_PAX_LIMIT = 16 * BLOCK  # a path has at most 4096 bytes where programs run
_FILE, _PAX = b"0", b"x"


class ByteSource(Protocol):
    """A file to read forwards."""

    def read(self, size: int, /) -> bytes: ...


class ByteTarget(Protocol):
    """A file to write forwards."""

    def write(self, data: bytes, /) -> object: ...


class MismatchError(Exception):
    """The bytes of a file are not those that were announced."""


def header(name: str, size: int) -> bytes:
    """Return what stands before the bytes of a file: one block, or three and more if a name is long or not ASCII.

    >>> len(header("journal/2025/2025-03-14.toml", 1_500)), len(header("journal/Zürich.jpg", 1_500))
    (512, 1536)
    """
    encoded = name.encode()
    if len(encoded) <= _NAME_BYTES and name.isascii():
        return _block(encoded, size, _FILE)
    record = _pax_record(encoded)
    plain = name.encode("ascii", "replace")[:_NAME_BYTES]
    return _block(b"PaxHeader", len(record), _PAX) + record + padding(len(record)) + _block(plain, size, _FILE)


def padding(size: int) -> bytes:
    """Return what fills up the last block of so many bytes."""
    return bytes(-size % BLOCK)


def write(out: ByteTarget, files: Iterable[tuple[str, int, Iterable[bytes]]], digests: Mapping[str, str]) -> int:
    """Write a backup of files: their paths in the journal, sizes and bytes. Return its length.

    `digests` are those of the files, in their order. Raises MismatchError with the path of the first file that has
    other bytes, and BackupError if there is more than a reader would take.
    """
    text = manifest.text(digests)
    if len(digests) > manifest.FILE_LIMIT or len(text) > manifest.SIZE_LIMIT:
        raise BackupError(
            _(
                "the journal has more than a backup takes, {count} files; move what is not the journal's out of it",
                count=digits.number(manifest.FILE_LIMIT),
            )
        )
    total = 0
    written = _put(out, header(manifest.NAME, len(text)), text, padding(len(text)))
    for path, size, chunks in files:
        total += size
        if total > SIZE_LIMIT:
            raise BackupError(
                _(
                    "the journal has more than a backup takes, {count} bytes; move what is not the journal's out of it",
                    count=digits.number(SIZE_LIMIT),
                )
            )
        written += _put(out, header(manifest.TOP + path, size))
        digest, length = hashlib.sha256(), 0
        for chunk in chunks:
            digest.update(chunk)
            length += len(chunk)
            if length > size:
                raise MismatchError(path)
            written += _put(out, chunk)
        if length != size or digest.hexdigest() != digests[path]:
            raise MismatchError(path)
        written += _put(out, padding(size))
    return written + _put(out, bytes(2 * BLOCK + -(written + 2 * BLOCK) % RECORD))


def _put(out: ByteTarget, *parts: bytes) -> int:
    for part in parts:
        if part:
            out.write(part)
    return sum(map(len, parts))


class BackupReader:
    """Reads a backup from its beginning. `digests` are those of its files, by their paths in the journal.

    `told` is what messages call the backup. Raises BackupError for what is no backup, damaged, or cut off.

    >>> import io
    >>> out, digest = io.BytesIO(), hashlib.sha256(b"mood = 4").hexdigest()
    >>> _ = write(out, [("2025-03-14.toml", 8, [b"mood = 4"])], {"2025-03-14.toml": digest})
    >>> [(path, list(chunks)) for path, chunks in BackupReader(io.BytesIO(out.getvalue()), "it").files()]
    [('2025-03-14.toml', [b'mood = 4'])]
    """

    def __init__(self, source: ByteSource, told: str) -> None:
        self._source, self._told, self._length = source, told, 0
        begin = source.read(BLOCK)
        name, size = _of_block(begin)
        if name != manifest.NAME.encode() or size > manifest.SIZE_LIMIT or begin != header(manifest.NAME, size):
            raise self._is_none()
        self._length = BLOCK
        try:
            text = self._exactly(size)
            self._expect(padding(size), manifest.NAME)
            self.digests = manifest.parse(text)
        except ValueError:
            raise BackupError(
                _("{told} is damaged in its manifest; take another copy of the backup", told=told)
            ) from None

    def files(self) -> Iterator[tuple[str, Iterator[bytes]]]:
        """Yield each file once: its path in the journal, and its bytes, which count only when the next one comes."""
        total = 0
        for path, expected in self.digests.items():
            size = self._size(path)
            total += size
            if total > SIZE_LIMIT:
                raise BackupError(
                    _(
                        "{told} has more than {count} bytes of files, which are not restored",
                        told=self._told,
                        count=digits.number(SIZE_LIMIT),
                    )
                )
            digest = hashlib.sha256()
            chunks = self._chunks(size, digest.update)
            yield path, chunks
            for _chunk in chunks:
                pass
            if digest.hexdigest() != expected:
                raise self._is_damaged(path)
            self._expect(padding(size), path)
        rest = 2 * BLOCK + -(self._length + 2 * BLOCK) % RECORD
        if self._exactly(rest) != bytes(rest) or self._source.read(1):
            raise damaged_at_end(self._told)

    def _size(self, path: str) -> int:
        """Read what stands before a file. Return its size."""
        begin = self._exactly(BLOCK)
        if begin[156:157] == _PAX:
            length = _of_block(begin)[1]
            if not 0 <= length <= _PAX_LIMIT:
                raise self._is_damaged(path)
            begin += self._exactly(length + len(padding(length)) + BLOCK)
        size = _of_block(begin[-BLOCK:])[1]
        if size < 0 or begin != header(manifest.TOP + path, size):
            raise self._is_damaged(path)
        return size

    def _chunks(self, size: int, update: Callable[[bytes], None]) -> Iterator[bytes]:
        while size:
            chunk = self._exactly(min(size, CHUNK))
            update(chunk)
            size -= len(chunk)
            yield chunk

    def _expect(self, data: bytes, path: str) -> None:
        if self._exactly(len(data)) != data:
            raise self._is_damaged(path)

    def _exactly(self, size: int) -> bytes:
        parts, left = [], size
        while left:
            part = self._source.read(min(left, CHUNK))
            if not part:
                raise BackupError(
                    _(
                        "{told} is cut off: it ends before its last file; take another copy of the backup",
                        told=self._told,
                    )
                )
            parts.append(part)
            left -= len(part)
        self._length += size
        return parts[0] if len(parts) == 1 else b"".join(parts)

    def _is_none(self) -> BackupError:
        return BackupError(
            _('{told} is no backup of a journal; name a file that "duskbook backup" wrote', told=self._told)
        )

    def _is_damaged(self, path: str) -> BackupError:
        return BackupError(
            _("{told} is damaged at {path}; take another copy of the backup", told=self._told, path=path)
        )


def damaged_at_end(told: str) -> BackupError:
    """The error of a backup, called `told`, with other bytes than it should have behind its last file."""
    return BackupError(_("{told} is damaged at its end; take another copy of the backup", told=told))


def _pax_record(name: bytes) -> bytes:
    """Return the record of a path: its own length in decimal, the key and the value."""
    rest = b" path=" + name + b"\n"
    length = len(rest) + 1
    while len(str(length)) + len(rest) != length:
        length += 1
    return str(length).encode() + rest


def _block(name: bytes, size: int, kind: bytes) -> bytes:
    """Return a header block: name, mode, owner, size, time, sum, kind, then what a plain file has none of."""
    front = name.ljust(_NAME_BYTES, b"\0") + b"0000600\0" + b"0000000\0" * 2 + b"%011o\0%011o\0" % (size, _MODIFIED)
    back = kind + bytes(100) + b"ustar\0" + b"00" + bytes(64) + b"0000000\0" * 2 + bytes(167)
    return front + b"%06o\0 " % sum(front + b" " * 8 + back) + back


def _of_block(block: bytes) -> tuple[bytes, int]:
    """Return the name and size in a header block, a size of -1 if there is none. Whether it is right shows later."""
    digits = block[124:135]
    is_octal = len(digits) == 11 and not digits.strip(b"01234567")
    return block[:_NAME_BYTES].rstrip(b"\0"), int(digits, 8) if is_octal else -1
