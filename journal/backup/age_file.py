"""A file encrypted with a password, in the age format: the program `age` opens it, too.

The format is https://age-encryption.org/v1 (C2SP, age.md), with its scrypt recipient. A random file key encrypts the
content in chunks of 64 KiB, ChaCha20-Poly1305 each, with its number and whether it is the last, so no chunk can be
changed, moved, left out or cut off unnoticed. A key made of the password by scrypt encrypts the file key.

    seal = Seal("a long password")
    with seal.writing(file) as out:
        out.write(data)
    AgeReader(file, "a long password", "it").read(100)
"""

from __future__ import annotations

import base64
import contextlib
import hmac
import re
import secrets
from collections.abc import Iterator
from typing import Final

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from journal.backup import archive
from journal.backup.archive import ByteSource, ByteTarget
from journal.errors import BackupError
from journal.language import digits
from journal.language.catalogue import _

BEGINNING = b"age-encryption.org/v1\n"
WORK = 18
"""The binary logarithm of scrypt's cost, as `age` has it: a second, and 256 MB of memory, for each password tried."""
MOST_WORK = 20
"""More is refused, since a file could ask for all of the memory: this takes 1 GB."""

_CHUNK: Final = 65_536
_TAG, _NONCE, _KEY, _SALT = 16, 16, 16, 16
_HEADER_LIMIT = 256
_HEADER = re.compile(
    rb"(age-encryption\.org/v1\n-> scrypt ([A-Za-z0-9+/]{22}) ([1-9][0-9]?)\n([A-Za-z0-9+/]{43})\n---) "
    rb"([A-Za-z0-9+/]{43})\n"
)


_FOR_A_KEY = re.compile(rb"age-encryption\.org/v1\n-> (?:X25519|ssh-|mlkem|piv-|tag|p256tag)")


class Seal:
    """A password made into a header and a file key. That takes a second; each writing with them takes none.

    >>> import io
    >>> file = io.BytesIO()
    >>> with Seal("pine", work=4).writing(file) as out:
    ...     _ = out.write(b"mood = 4")
    >>> AgeReader(io.BytesIO(file.getvalue()), "pine", "it").read(100)
    b'mood = 4'
    """

    def __init__(self, password: str, work: int | None = None) -> None:
        self._key = secrets.token_bytes(_KEY)
        self._header = header(password, WORK if work is None else work, secrets.token_bytes(_SALT), self._key)

    @contextlib.contextmanager
    def writing(self, out: ByteTarget) -> Iterator[AgeWriter]:
        """Write the header, and all that is written in the body. Each time has a key of its own."""
        nonce = secrets.token_bytes(_NONCE)
        out.write(self._header + nonce)
        writer = AgeWriter(out, _derived(self._key, nonce, b"payload"))
        yield writer
        writer.finish()


def header(password: str, work: int, salt: bytes, key: bytes) -> bytes:
    """Return the header of a file with that file key: the version, the password's stanza, and the sum of both."""
    wrapped = ChaCha20Poly1305(_password_key(password, salt, work)).encrypt(bytes(12), key, None)
    text = BEGINNING + b"-> scrypt %s %d\n%s\n---" % (_coded(salt), work, _coded(wrapped))
    return text + b" %s\n" % _coded(_header_sum(key, text))


class AgeWriter:
    """Encrypts what is written, in chunks."""

    def __init__(self, out: ByteTarget, key: bytes) -> None:
        self._out, self._cipher = out, ChaCha20Poly1305(key)
        self._waiting, self._number = bytearray(), 0

    def write(self, data: bytes, /) -> int:
        """Write as much as is certain not to be in the last chunk."""
        self._waiting += data
        while len(self._waiting) > _CHUNK:
            self._put(bytes(self._waiting[:_CHUNK]), is_last=False)
            del self._waiting[:_CHUNK]
        return len(data)

    def finish(self) -> None:
        """Write the last chunk."""
        self._put(bytes(self._waiting), is_last=True)

    def _put(self, chunk: bytes, *, is_last: bool) -> None:
        self._out.write(self._cipher.encrypt(_chunk_nonce(self._number, is_last), chunk, None))
        self._number += 1


class AgeReader:
    """Decrypts a file from its beginning. What is read is as it was written; that it is whole shows at its end.

    `told` is what messages call the file. Raises BackupError for a wrong password and a damaged file.
    """

    def __init__(self, source: ByteSource, password: str, told: str) -> None:
        self._source, self._told = source, told
        begin = source.read(_HEADER_LIMIT)
        found = _HEADER.match(begin)
        if found is None and _FOR_A_KEY.match(begin):
            raise BackupError(
                _("{told} is encrypted for a key and not with a password; decrypt it with its key first", told=told)
            )
        parts = [_decoded(found[group]) for group in (2, 4, 5)] if found is not None else []
        if found is None or None in parts:
            raise BackupError(
                _("{told} is damaged or cut off at its beginning; take another copy of the backup", told=told)
            )
        salt, wrapped, total = (part or b"" for part in parts)
        key = _file_key(password, salt, int(found[3]), wrapped, told)
        if not hmac.compare_digest(_header_sum(key, found[1]), total):
            raise BackupError(_("{told} is damaged at its beginning; take another copy of the backup", told=told))
        self._ahead = begin[found.end() :]
        nonce = self._taken(_NONCE)
        self._cipher = ChaCha20Poly1305(_derived(key, nonce, b"payload"))
        self._ready, self._number, self._is_over = b"", 0, False

    def read(self, size: int, /) -> bytes:
        """Return some of the next bytes, at most `size`, none at the end."""
        if not self._ready and not self._is_over:
            self._ready = self._chunk()
        part, self._ready = self._ready[:size], self._ready[size:]
        return part

    def _chunk(self) -> bytes:
        chunk = self._taken(_CHUNK + _TAG)
        self._ahead = self._ahead or self._source.read(1)
        self._is_over = not self._ahead
        try:
            data = self._cipher.decrypt(_chunk_nonce(self._number, self._is_over), chunk, None)
        except (InvalidTag, ValueError):
            raise BackupError(
                _("{told} is damaged or cut off; take another copy of the backup", told=self._told)
            ) from None
        if not data and self._number:
            raise archive.damaged_at_end(self._told)
        self._number += 1
        return data

    def _taken(self, size: int) -> bytes:
        """Return the next bytes of the file, fewer only at its end."""
        parts, left = [self._ahead[:size]], size - len(self._ahead[:size])
        self._ahead = self._ahead[size:]
        while left and (part := self._source.read(left)):
            parts.append(part)
            left -= len(part)
        return b"".join(parts)


def _file_key(password: str, salt: bytes, work: int, wrapped: bytes, told: str) -> bytes:
    if work > MOST_WORK:
        raise BackupError(_("{told} asks for more than 1 GB of memory to try a password, which is not done", told=told))
    try:
        return ChaCha20Poly1305(_password_key(password, salt, work)).decrypt(bytes(12), wrapped, None)
    except InvalidTag:
        raise BackupError(
            _(
                "the password is wrong: it does not open {told}; if it is the right one, the file is damaged at its "
                "beginning",
                told=told,
            )
        ) from None


def _password_key(password: str, salt: bytes, work: int) -> bytes:
    label = b"age-encryption.org/v1/scrypt"
    try:
        return Scrypt(salt=label + salt, length=32, n=1 << work, r=8, p=1).derive(password.encode())
    except MemoryError:
        raise BackupError(
            _(
                "there is not enough memory for a password, {count} MB; close other programs",
                count=digits.number(1 << work >> 10),
            )
        ) from None


def _header_sum(key: bytes, header: bytes) -> bytes:
    return hmac.digest(_derived(key, b"", b"header"), header, "sha256")


def _derived(key: bytes, salt: bytes, info: bytes) -> bytes:
    return HKDF(SHA256(), length=32, salt=salt, info=info).derive(key)


def _chunk_nonce(number: int, is_last: bool) -> bytes:
    return number.to_bytes(11, "big") + bytes([is_last])


def _coded(data: bytes) -> bytes:
    return base64.b64encode(data).rstrip(b"=")


def _decoded(text: bytes) -> bytes | None:
    """Return the bytes of a text in base64, None if it is not the one way to write them."""
    data = base64.b64decode(text + b"=" * (-len(text) % 4))
    return data if _coded(data) == text else None
