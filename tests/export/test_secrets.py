"""The reduced journal has no word that its reader may not see; and the search finds hidden words."""

from __future__ import annotations

import base64
import gzip
import io
import struct
import urllib.parse
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import polars as pl
import pypdf
import pytest
import typst
from msgspec import inspect
from pypdf import generic

import journal
from journal import Journal
from journal.entry import Entry, Review, Undated
from journal.export.audience import Audience, seen_by
from journal.folder import reading
from journal.settings import Settings
from tests.export.leaking import Secret, found, leaks
from tests.export.planted import ANYONES, BESIDE, NO_WORDS, NUMBERS, READERS, SAME, TODAY, fields, planted

PAGES = (Entry, Review, Undated, Settings)
OTHERS: tuple[Audience, ...] = ("friend", "anyone")


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> tuple[Journal, dict[str, Secret]]:
    folder, secrets = planted(tmp_path_factory.mktemp("planted"))
    return journal.open(folder, today=TODAY, cache=False), secrets


def everything(book: Journal) -> bytes:
    """Everything in an opened journal."""
    parts = [getattr(book.tables, name) for name in book.tables.__struct_fields__]
    frames = [part for part in parts if isinstance(part, pl.DataFrame)]
    rest = (str(book.folder), book.settings, book.undated, book.problems)
    text = [*(frame.write_ndjson() for frame in frames), *(repr(part) for part in rest)]
    return "\n".join(text).encode()


def test_every_text_field_has_readers() -> None:
    decided = [field.partition(", ")[0] for field in (*READERS, *SAME, *NO_WORDS)]
    assert sorted(set(decided)) == sorted(field for page in PAGES for field in fields(page))


def test_every_number_field_has_readers() -> None:
    numbers = [field for page in PAGES for kind in (inspect.FloatType, inspect.IntType) for field in fields(page, kind)]
    assert sorted({*NUMBERS, *ANYONES}) == sorted(set(numbers))


def test_fields_with_a_fixed_format_reject_words(tmp_path: Path) -> None:
    place = 'key = "home"\nname = "Home"\nlatitude = 1\nlongitude = 1\ntimezone = "UTC"'
    head = f'title = "A"\n[[places]]\n{place}\n'
    habit = '[[habits]]\nkey = "a"\nname = "A"\nfrom = 2025-01-01\nevery = "FREQ=DAILY"\n'
    trial = '[[trials]]\nkey = "t"\nquestion = "?"\nhabit = "a"\nfrom = 2025-01-01\ndays = 60\nseed = 1\nplan = "{}"'
    blocks = {
        "Settings.categories[].colour": '[[categories]]\nkey = "a"\nname = "A"\nsleep = true\ncolour = "{}"',
        "Settings.habits[].every": '[[habits]]\nkey = "a"\nname = "A"\nfrom = 2025-01-01\nevery = "{}"',
        "Settings.routines[].every": '[[routines]]\ntitle = "A"\nfrom = 2025-01-01\nevery = "{}"',
        "Settings.hours{}": "[hours.{}]\n",
        "Settings.trials[].plan": habit + trial,
    }
    assert blocks.keys() == NO_WORDS.keys()
    for field, block in blocks.items():
        (tmp_path / "journal.toml").write_text(head + block.format(NO_WORDS[field]), encoding="utf-8")
        read = reading.read_settings(tmp_path)
        assert [problem.got for problem in read.problems if NO_WORDS[field] in problem.got], field
        if field == "Settings.trials[].plan":  # it stays, since without it a changed plan would count as drawn
            book = journal.open(tmp_path, today=TODAY, cache=False)
            seen = [seen_by(book, "friend").settings, seen_by(book, "anyone").settings]
        else:
            seen = [read.settings]
        assert all(NO_WORDS[field] not in repr(settings) for settings in seen)


def test_every_field_is_planted(garden: tuple[Journal, dict[str, Secret]]) -> None:
    book, secrets = garden
    assert {secret.field for secret in secrets.values()} == READERS.keys() | NUMBERS.keys() | BESIDE.keys()
    lost = {secrets[word].field for word in secrets.keys() - found(everything(book), secrets)}
    assert lost == {"the event of a calendar", "a comment"}  # opening a journal reads neither
    on_disk = b"".join(path.read_bytes() for path in sorted(book.folder.rglob("*")) if path.is_file())
    assert not {word for word in secrets if secrets[word].field in lost} - found(on_disk, secrets)


@pytest.mark.parametrize("reader", OTHERS)
def test_no_reader_sees_a_private_word(reader: Audience, garden: tuple[Journal, dict[str, Secret]]) -> None:
    book, secrets = garden
    assert leaks(everything(book), secrets, reader)
    assert leaks(everything(seen_by(book, reader)), secrets, reader) == []


@pytest.mark.parametrize("reader", ["me", *OTHERS])
def test_readers_see_their_words(reader: Audience, garden: tuple[Journal, dict[str, Secret]]) -> None:
    book, secrets = garden
    seen = found(everything(seen_by(book, reader)), secrets)
    missing = {secret.field for word, secret in secrets.items() if reader in secret.readers and word not in seen}
    assert missing <= {"the event of a calendar", "a comment"}


def test_a_named_habit_reveals_only_its_key_and_name(
    garden: tuple[Journal, dict[str, Secret]],
) -> None:
    book, secrets = garden
    counted = book.settings.habits[1]
    given = leaks(everything(seen_by(book, "anyone", named=[counted.key])), secrets, "anyone")
    assert given == [f"Settings.habits[].key: {counted.key}", f"Settings.habits[].name: {counted.name}"]


# --- the search itself ---

WORD = "zqaxv"
SECRETS = {WORD: Secret("Entry.notes[]", frozenset({"me"})), "731.25": Secret("a number", frozenset({"me"}))}


def zipped(text: str, name: str = "a.txt") -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, text * 20)
    return file.getvalue()


def png(kind: bytes, body: bytes) -> bytes:
    """A picture of one grey pixel with one more chunk (W3C, PNG Specification, third edition, 5.3 and 11.3.3)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    parts = [(b"IHDR", head), (kind, body), (b"IDAT", zlib.compress(b"\0\x7f")), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


def pdf(change: Callable[[pypdf.PdfWriter], Any]) -> bytes:
    writer = pypdf.PdfWriter()
    writer.add_blank_page(100, 100)
    change(writer)
    writer.compress_identical_objects()
    file = io.BytesIO()
    writer.write(file)
    return file.getvalue()


def with_stream(writer: pypdf.PdfWriter, text: bytes) -> None:
    stream = generic.DecodedStreamObject()
    stream.set_data(text)
    writer.pages[0][generic.NameObject("/Contents")] = writer._add_object(stream.flate_encode())


def parquet(frame: pl.DataFrame, **metadata: str) -> bytes:
    file = io.BytesIO()
    frame.write_parquet(file, metadata=metadata, compression="zstd", statistics=False)
    return file.getvalue()


def hidden(word: str) -> dict[str, bytes]:
    """A word in every encoding and packing that the search must find."""
    utf16 = word.encode("utf-16-be")
    data_uri = base64.b64encode(f"<svg>{word}</svg>".encode()).decode()
    typeset = f'#set document(title: "{word}")\n#set page(width: 40pt)\nBread'
    alternative = (
        f'#image(bytes("<svg xmlns=\\"http://www.w3.org/2000/svg\\" width=\\"9\\" height=\\"9\\"/>"), alt: "{word}")'
    )
    return {
        "plain": f"a {word} b".encode(),
        "capitals": word.upper().encode(),
        "entities": "".join(f"&#x{ord(letter):x};" for letter in word).encode(),
        "percent signs": "".join(f"%{ord(letter):02x}" for letter in word).encode(),
        "percent signs in entities": urllib.parse.quote(word).replace("z", "%7A").replace("%", "&#37;").encode(),
        "JSON": "".join(f"\\u{ord(letter):04x}" for letter in word).encode(),
        "tags": "".join(f"<tspan>{letter}</tspan>" for letter in word).encode(),
        "folded lines": f"{word[:2]}\r\n {word[2:]}".encode(),
        "a soft hyphen": f"{word[:2]}\u00ad\n{word[2:]}".encode(),
        "UTF-16": word.encode("utf-16"),
        "UTF-16 from an odd byte": b"x" + utf16,
        "base64": f'<img src="data:image/svg+xml;base64,{data_uri}">'.encode(),
        "base64 in percent signs": f"url(data:image/png;base64,{urllib.parse.quote(data_uri, safe='')})".encode(),
        "zlib within": b"abc" + zlib.compress(word.encode()) + b"def",
        "gzip": gzip.compress(word.encode()),
        "zip": zipped(word),
        "zip in gzip": gzip.compress(zipped(word)),
        "a name in a zip": zipped("bread", name=f"{word}.txt"),
        "PNG tEXt": png(b"tEXt", b"Title\0" + word.encode()),
        "PNG zTXt": png(b"zTXt", b"Title\0\0" + zlib.compress(word.encode())),
        "PNG iTXt": png(b"iTXt", b"Title\0\1\0\0\0" + zlib.compress(word.encode())),
        "PNG in HTML": b"data:image/png;base64,"
        + base64.b64encode(png(b"zTXt", b"T\0\0" + zlib.compress(word.encode()))),
        "PDF metadata": pdf(lambda writer: writer.add_metadata({"/Subject": word})),
        "PDF bookmark": pdf(lambda writer: writer.add_outline_item(title=f"ž {word}", page_number=0)),
        "PDF attachment": pdf(lambda writer: writer.add_attachment("a.txt", word.encode())),
        "PDF stream": pdf(lambda writer: with_stream(writer, f"({word}) Tj".encode())),
        "PDF stream, UTF-16 in hex": pdf(lambda writer: with_stream(writer, b"<FEFF" + utf16.hex().encode() + b">")),
        "PDF stream, UTF-16 in octal": pdf(
            lambda writer: with_stream(writer, b"(\\376\\377" + b"".join(b"\\000" + bytes([c]) for c in word.encode()))
        ),
        "PDF page, typeset": typst.compile(f"#set page(width: 60pt)\nBread {word} bread".encode()),
        "PDF title, typeset": typst.compile(typeset.encode()),
        "PDF alternative text, typeset": typst.compile(alternative.encode()),
        "Parquet cell": parquet(pl.DataFrame({"text": [f"{i * 2654435761 % 2**32:x} {word}" for i in range(999)]})),
        "Parquet column": parquet(pl.DataFrame({word: [1]})),
        "Parquet metadata": parquet(pl.DataFrame({"text": ["bread"]}), note=word),
    }


def test_a_word_is_found_however_it_is_hidden() -> None:
    ways = hidden(WORD)
    assert [way for way, data in ways.items() if leaks(data, SECRETS, "friend") != [f"Entry.notes[]: {WORD}"]] == []
    assert [way for way, data in ways.items() if leaks(data, SECRETS, "me")] == []


def test_another_word_is_not_found() -> None:
    assert [way for way, data in hidden("bread").items() if leaks(data, SECRETS, "anyone")] == []


def test_a_number_is_found_as_it_is_written() -> None:
    assert leaks(b"high 731.25 C", SECRETS, "anyone") == ["a number: 731.25"]
    assert leaks(b"73 125 and 73125", SECRETS, "anyone") == []
