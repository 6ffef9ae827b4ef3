"""Encrypted files: by an independent implementation of the format, and with everything wrong that can be."""

from __future__ import annotations

import base64
import io
import random
import re

import pyrage
import pytest

from journal.backup import age_file
from journal.backup.age_file import AgeReader, Seal
from journal.errors import BackupError
from tests.promises import encrypted_backups

PASSWORD = "Papier, Zürich"
SEAL = Seal(PASSWORD, work=4)
SIZES = (0, 1, 65_535, 65_536, 65_537, 131_072, 200_000)


def sealed(data: bytes, seal: Seal = SEAL) -> bytes:
    file = io.BytesIO()
    with seal.writing(file) as out:
        for at in range(0, len(data), 50_000):
            out.write(data[at : at + 50_000])
    return file.getvalue()


def opened(data: bytes, password: str = PASSWORD) -> bytes:
    reader, parts = AgeReader(io.BytesIO(data), password, "it"), []
    while part := reader.read(10_000):
        parts.append(part)
    return b"".join(parts)


@pytest.mark.parametrize("size", SIZES)
def test_another_program_opens_it(size: int) -> None:
    data = random.Random(size).randbytes(size)
    assert pyrage.passphrase.decrypt(sealed(data), PASSWORD) == data
    assert opened(sealed(data)) == data


def test_the_header_of_the_published_test_vector_is_made_and_opened() -> None:
    """https://github.com/C2SP/CCTV/blob/main/age/testdata/scrypt: its password, salt, file key and header."""
    published = (
        b"age-encryption.org/v1\n"
        b"-> scrypt rF0/NwblUHHTpgQgRpe5CQ 10\n"
        b"gUjEymFKMVXQEKdMMHL24oYexjE3TIC0O0zGSqJ2aUY\n"
        b"--- IOXiQYStkoT1mvZW2tFOqZdhRVvj58egABx/sWfZQbc\n"
    )
    salt = base64.b64decode(b"rF0/NwblUHHTpgQgRpe5CQ==")
    assert age_file.header("password", 10, salt, b"YELLOW SUBMARINE") == published
    seal = Seal("password", work=1)
    seal._header, seal._key = published, b"YELLOW SUBMARINE"
    assert opened(sealed(b"age", seal), "password") == b"age"
    assert pyrage.passphrase.decrypt(sealed(b"age", seal), "password") == b"age"


def test_the_header_is_as_the_format_says() -> None:
    """https://github.com/C2SP/C2SP/blob/main/age.md: the version, one scrypt stanza, its body, the sum of it all."""
    coded = r"[A-Za-z0-9+/]"
    lines = sealed(b"x", Seal("x", work=12))[: -16 - 17].decode("ascii")
    assert re.fullmatch(
        rf"age-encryption\.org/v1\n-> scrypt {coded}{{22}} 12\n{coded}{{43}}\n--- {coded}{{43}}\n", lines
    )


def test_two_files_of_one_text_have_nothing_in_common_but_the_header() -> None:
    first, second = sealed(bytes(1000)), sealed(bytes(1000))
    assert first[-1016:-1000] != second[-1016:-1000]
    assert Seal(PASSWORD, work=4)._header != SEAL._header


@pytest.mark.parametrize("password", ["", "papier, zürich", PASSWORD + " ", "Papier, Zu\u0308rich"])
def test_a_wrong_password_is_told(password: str) -> None:
    with pytest.raises(BackupError, match=r"^the password is wrong: it does not open it; if it is the right one, "):
        opened(sealed(b"x"), password)


def test_every_changed_byte_is_noticed() -> None:
    data, flips = sealed(bytes(300)), random.Random(4711)
    for at in range(len(data)):
        changed = data[:at] + bytes([data[at] ^ (1 << flips.randrange(7))]) + data[at + 1 :]
        with pytest.raises(BackupError, match=r"is damaged|is wrong|more than 1 GB"):
            opened(changed)


def test_chunks_cannot_be_cut_off_moved_repeated_or_added() -> None:
    whole = sealed(random.Random(1).randbytes(3 * 65_536 - 100))
    begin = len(whole) - (3 * 65_536 - 100) - 3 * 16
    size = 65_536 + 16
    a, b, c = whole[begin : begin + size], whole[begin + size : begin + 2 * size], whole[begin + 2 * size :]
    for chunks in (
        (a, b),
        (a,),
        (),
        (b, a, c),
        (a, a, c),
        (a, b, c, c),
        (a, b, b, c),
        (a, b, c, b"\0"),
        (a, b, c[:-1]),
    ):
        with pytest.raises(BackupError, match=r"is damaged or cut off; take another copy"):
            opened(whole[:begin] + b"".join(chunks))
    assert len(opened(whole[:begin] + a + b + c)) == 3 * 65_536 - 100


def test_an_empty_last_chunk_is_refused() -> None:
    """The format has it for an empty text only: else one text had two forms."""
    file = io.BytesIO()
    with SEAL.writing(file) as out:
        out.write(bytes(65_536))
        out._put(bytes(out._waiting), is_last=False)
        out._waiting.clear()
    with pytest.raises(BackupError, match="is damaged at its end"):
        opened(file.getvalue())


def test_every_shorter_file_is_noticed() -> None:
    data = sealed(bytes(300))
    for length in range(len(age_file.BEGINNING), len(data)):
        with pytest.raises(BackupError, match="cut off"):
            opened(data[:length])


def test_a_file_that_asks_for_all_of_the_memory_is_refused() -> None:
    for work in (b"21", b"62", b"99"):
        with pytest.raises(BackupError, match=r"asks for more than 1 GB of memory"):
            opened(sealed(b"x").replace(b" 4\n", b" %b\n" % work))


def test_a_file_for_a_key_is_told() -> None:
    data = pyrage.encrypt(b"x", [pyrage.x25519.Identity.generate().to_public()])
    with pytest.raises(BackupError, match="it is encrypted for a key and not with a password"):
        opened(data)


def test_a_part_of_the_campaign() -> None:
    assert encrypted_backups.failures(count=40, seed=1) == []
