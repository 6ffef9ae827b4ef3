"""The contents of a PDF as pypdf reads them, and its pixels as typst renders them."""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

import msgspec
import numpy as np
import pypdf
from numpy.typing import NDArray

from journal.export import typesetting, typst_data
from journal.export.document import Document


class Said(NamedTuple):
    """A piece of text with its start (points from the lower left) and font size."""

    x: float
    y: float
    size: float
    text: str


@lru_cache(maxsize=2)  # the two papers of a book
def read(data: bytes) -> pypdf.PdfReader:
    """The parsed file, read-only. Parsed once for all tests."""
    return pypdf.PdfReader(io.BytesIO(data))


class Leaf(NamedTuple):
    """A page: its text as read, without break points, and its pieces with their positions."""

    width: float
    height: float
    text: str
    said: list[Said]


def leaves(data: bytes) -> list[Leaf]:
    """All pages. pypdf takes one or two seconds for a book of a hundred pages with drawings."""
    return [_leaf(page) for page in read(data).pages]


def _leaf(page: pypdf.PageObject) -> Leaf:
    said: list[Said] = []

    def visit(text: str, matrix: Any, at: Any, font: Any, size: float) -> None:
        if text.strip():
            x, y = matrix[0] * at[4] + matrix[4], matrix[3] * at[5] + matrix[5]
            said.append(Said(x, y, round(abs(matrix[3] * at[3]) * size, 2), text.strip()))

    text = page.extract_text(visitor_text=visit).replace("\u200b", "")
    return Leaf(float(page.mediabox.width), float(page.mediabox.height), text, said)


def tagged(part: Any) -> Iterator[Any]:
    """All elements of the structure tree below a node."""
    part = part.get_object()
    if isinstance(part, list):
        for one in part:
            yield from tagged(one)
    elif isinstance(part, dict):
        if "/S" in part:
            yield part
        if "/K" in part:
            yield from tagged(part["/K"])


def fonts(data: bytes) -> dict[str, bool]:
    """All fonts of the file, and whether they are embedded."""
    reader, found = read(data), dict[str, bool]()
    size: Any = reader.trailer["/Size"]
    for number in range(1, int(size)):
        part = reader.get_object(pypdf.generic.IndirectObject(number, 0, reader))
        if isinstance(part, dict) and part.get("/Type") == "/Font" and "/DescendantFonts" not in part:
            held = part.get("/FontDescriptor", {})
            files = {"/FontFile", "/FontFile2", "/FontFile3"} & set(held)
            found[str(part["/BaseFont"])] = bool(files) or part.get("/Subtype") == "/Type3"
    return found


def ink(document: Document, paper: str, ppi: int = 24) -> list[NDArray[np.uint8]]:
    """The darkness of each pixel, 0 to 255, of each page of a book as typst renders it."""
    return painted("book", typst_data.data(document, paper, frozenset()), ppi)


def painted(template: str, said: Any, ppi: int = 24) -> list[NDArray[np.uint8]]:
    """The darkness of each pixel, 0 to 255, of each page of a template with its input."""
    words = msgspec.json.encode(said).decode()
    return [255 - _grey(page) for page in typesetting.images(template, words, "png", ppi)]


def _grey(png: bytes) -> NDArray[np.uint8]:
    """The darkest channel of each pixel of a PNG of 8 bits without interlacing (PNG, third edition, 9.2)."""
    at, body, size = 8, b"", (0, 0)
    while at < len(png):
        length, kind = int.from_bytes(png[at : at + 4]), png[at + 4 : at + 8]
        chunk = png[at + 8 : at + 8 + length]
        if kind == b"IHDR":
            size = (int.from_bytes(chunk[:4]), int.from_bytes(chunk[4:8]))
            assert chunk[8] == 8 and chunk[12] == 0
            channels = {2: 3, 6: 4}[chunk[9]]
        body += chunk if kind == b"IDAT" else b""
        at += 12 + length
    width, height = size
    rows = np.frombuffer(zlib.decompress(body), np.uint8).reshape(height, 1 + width * channels)
    out = np.zeros((height, width, channels), np.uint8)
    above = np.zeros((width, channels), np.uint8)
    for nth in range(height):
        out[nth] = above = _unfiltered(int(rows[nth, 0]), rows[nth, 1:].reshape(width, channels), above)
    colours: NDArray[np.uint8] = out[:, :, :3].min(axis=2)
    return colours


def _unfiltered(kind: int, row: NDArray[np.uint8], above: NDArray[np.uint8]) -> NDArray[np.uint8]:
    if kind == 0:
        return row
    if kind == 1:
        return np.cumsum(row, axis=0, dtype=np.uint8)
    if kind == 2:
        return row + above
    # A loop over integers: for so few values numpy takes six times as long.
    channels = row.shape[1]
    done, ups = [0] * channels, [0] * channels + above.ravel().tolist()
    for nth, value in enumerate(row.ravel().tolist()):
        left, corner, up = done[nth], ups[nth], ups[nth + channels]
        if kind == 3:
            guess = (left + up) // 2
        else:
            of_left, of_up, of_corner = abs(up - corner), abs(left - corner), abs(left + up - 2 * corner)
            guess = left if of_left <= of_up and of_left <= of_corner else up if of_up <= of_corner else corner
        done.append((value + guess) % 256)
    return np.array(done[channels:], np.uint8).reshape(row.shape)
