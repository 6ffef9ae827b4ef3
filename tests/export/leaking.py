"""Searches bytes for words that a reader may not see, in every encoding and packing of a file.

Looked through, one within the other: text in UTF-8 and UTF-16; entities of HTML, `%41`, `\\u0041`, base64; text that
is cut up by tags, blanks, line ends and hyphens; streams of zlib and gzip, wherever they begin (so those in PNG too);
every object of a PDF, its strings, streams and the text of its pages; the files of a ZIP and their names; Parquet.

What a picture shows in pixels is not looked through. Such a picture is drawn from a figure, which is text to look at.
"""

from __future__ import annotations

import base64
import binascii
import html
import io
import re
import unicodedata
import urllib.parse
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import polars as pl
import pypdf
from pypdf import generic

from journal.export.audience import Audience


class Secret(NamedTuple):
    """The field in which a word was planted, and the readers who may see it."""

    field: str
    readers: frozenset[Audience]


def leaks(data: bytes, secrets: Mapping[str, Secret], audience: Audience) -> list[str]:
    """The words in the bytes that the reader may not see, each with its field.

    >>> secrets = {"zqaav": Secret("Entry.notes[]", frozenset({"me"}))}
    >>> leaks(b"<p>z&#113;a<b>a</b>v</p>", secrets, "friend"), leaks(b"zqaav", secrets, "me")
    (['Entry.notes[]: zqaav'], [])
    """
    held = {word: secret.field for word, secret in secrets.items() if audience not in secret.readers}
    return sorted(f"{held[word]}: {word}" for word in found(data, held))


def found(data: bytes, words: Mapping[str, Any]) -> set[str]:
    """The words that the bytes contain. A word has only small letters, or has a digit and is searched for unchanged."""
    exact = {word for word in words if re.search(r"\d", word)}
    left = set(words)
    for text in texts(data):
        close = _close(text)
        left -= _held(text, left & exact) | _held(close, left - exact)
        if not left:
            break
    return set(words) - left


def _held(text: str, words: set[str], begun: int = 2) -> set[str]:
    """The words that a text contains. Words with the same beginning are tested together, since most texts have none."""
    held: set[str] = set()
    for begin in {word[:begun] for word in words}:
        if begin in text:
            alike = {word for word in words if word.startswith(begin)}
            held |= alike & {begin} | _held(text, alike - {begin}, begun + 2)
    return held


def _close(text: str) -> str:
    """Only letters and digits, in lower case and plain form; also without the zero bytes of UTF-16."""
    return re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", text)).casefold()


def texts(data: bytes) -> Iterator[str]:
    """Every text that the bytes contain."""
    if not data:
        return
    yield from _plain(data)
    for inner in _inside(data):
        yield from texts(inner)


def _plain(data: bytes) -> Iterator[str]:
    if data.startswith(b"\x89PNG"):
        return  # pixels are not text, and there are many
    text = data.decode(errors="replace")
    read = _read(text)
    yield from {text, read, _untagged(text), _untagged(read)}


def _untagged(text: str) -> str:
    return re.sub(r"<[^>]*>", "", text)


def _read(text: str) -> str:
    """A text with entities, percent encoding and backslashes decoded, twice."""
    for _ in range(2):
        text = html.unescape(text)
        text = re.sub(r"\\u([0-9A-Fa-f]{4})", lambda match: chr(int(match[1], 16)), text)
        text = re.sub(r"\\x([0-9A-Fa-f]{2})", lambda match: chr(int(match[1], 16)), text)
        text = urllib.parse.unquote(text, errors="replace")
    return text


def _inside(data: bytes) -> Iterator[bytes]:
    """The unpacked contents of the bytes."""
    if data.startswith(b"%PDF-"):
        yield from _of_pdf(data)
        return
    if data.startswith(b"\x89PNG"):
        yield from _of_png(data)
        return
    if data.startswith(b"PK\x03\x04"):
        with zipfile.ZipFile(io.BytesIO(data)) as file:
            yield file.comment
            for info in file.infolist():
                yield from (info.filename.encode(), info.comment, file.read(info))
        return
    if data.startswith(b"PAR1"):
        yield "\n".join(pl.read_parquet_metadata(io.BytesIO(data)).values()).encode()
        yield pl.read_parquet(io.BytesIO(data)).write_ndjson().encode()
        return
    for match in re.finditer(rb";base64,([A-Za-z0-9+/=\s%]+)", data):
        yield _from_base64(urllib.parse.unquote_to_bytes(match[1]))
    for match in re.finditer(rb"<(?i:feff)([0-9A-Fa-f\s]+)>", data):  # a UTF-16 string of a PDF inside a stream
        digits = re.sub(rb"\s", b"", match[1])
        yield binascii.unhexlify(digits + b"0" * (len(digits) % 2))
    if re.search(rb"\\[0-3][0-7]{2}", data):
        yield re.sub(rb"\\([0-3][0-7]{2})", lambda octal: bytes([int(octal[1], 8)]), data)
    for match in re.finditer(rb"\x1f\x8b\x08|\x78[\x01\x5e\x9c\xda]", data):
        yield _inflated(data[match.start() :], 31 if match[0].startswith(b"\x1f") else 15)


def _from_base64(text: bytes) -> bytes:
    whole = re.sub(rb"\s", b"", text)
    try:
        return base64.b64decode(whole + b"=" * (-len(whole) % 4))
    except binascii.Error:
        return b""


def _inflated(data: bytes, window: int) -> bytes:
    try:
        return zlib.decompressobj(window).decompress(data)
    except zlib.error:
        return b""


def _of_png(data: bytes) -> Iterator[bytes]:
    """The chunks of a picture other than its pixels."""
    at = 8
    while at < len(data):
        length, name = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        if name != b"IDAT":
            yield name + data[at + 8 : at + 8 + length]
        at += 12 + length
        if name == b"IEND":
            yield data[at:]
            return


def _of_pdf(data: bytes) -> Iterator[bytes]:
    """All objects of a PDF, and the text of its pages."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    places = {(number, generation) for generation, of in reader.xref.items() for number in of}
    places |= {(number, 0) for number in reader.xref_objStm}
    strings: list[bytes] = []
    for item in [
        *(reader.get_object(generic.IndirectObject(*place, reader)) for place in sorted(places)),
        reader.trailer,
    ]:
        strings += _strings(item)
        if isinstance(item, generic.StreamObject):
            yield item.get_data()
    yield b"\n".join(strings)
    for page in reader.pages:
        yield page.extract_text().encode()


def _strings(item: Any) -> Iterator[bytes]:
    """The strings and names within an object. Referenced objects are visited by their own number."""
    match item:
        case generic.TextStringObject() | generic.NameObject():
            yield item.encode(errors="replace")
        case generic.ByteStringObject():
            yield bytes(item)
        case dict():
            for key, value in item.items():
                yield str(key).encode(errors="replace")
                yield from _strings(value)
        case list():
            for value in item:
                yield from _strings(value)
