"""Pictures that pages name: what is there, what is told of every file that cannot be shown, and that nothing waits."""

from __future__ import annotations

import io
import os
import struct
import zlib
from pathlib import Path

import pytest

from journal.errors import PictureError
from journal.pictures import picture_files, picture_shape
from journal.pictures.picture_shape import PictureShape
from tests.pictures.drawn import bench, encoded, jpeg

WHOLE = jpeg(1, 48, 36)


def told(path: Path) -> str:
    with pytest.raises(PictureError) as error:
        picture_files.look(path)
    return str(error.value)


def png_of(width: int, height: int) -> bytes:
    """A PNG that promises a size and has hardly a pixel (W3C, PNG Specification, 5.3)."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0")) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.jpg", WHOLE),
        ("a.JPEG", jpeg(1, 48, 36, progressive=True)),
        ("a.jpg", encoded(bench(1, 48, 36, "L"), "JPEG")),
        ("a.png", encoded(bench(1, 48, 36), "PNG")),
        ("a.webp", encoded(bench(1, 48, 36), "WEBP")),
        ("a.webp", encoded(bench(1, 48, 36), "WEBP", lossless=True)),
        ("a.webp", encoded(bench(1, 48, 36), "WEBP", exif=b"Exif\0\0MM\0*\0\0\0\x08\0\0")),
    ],
)
def test_the_size_of_every_kind_of_picture(name: str, data: bytes, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(data)
    kind = picture_shape.ENDINGS[Path(name).suffix.lower()]
    assert picture_files.look(tmp_path / name) == PictureShape(kind, 48, 36)
    read, shape = picture_files.read(tmp_path / name)
    assert (read, shape.kind) == (data, kind)


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.jpg", b"", "expected a picture, got an empty file; copy it again from where it came"),
        ("a.jpg", b"<html>", "expected a picture in JPEG, PNG, WebP or HEIC, got something else; save it as JPEG"),
        ("a.jpg", b"%PDF-1.7\n" + WHOLE, "got something else"),
        ("a.jpg", WHOLE[:-400], "expected a whole picture, got a file that breaks off"),
        ("a.jpg", WHOLE[:60], "breaks off"),
        ("a.jpg", b"\xff\xd8\xff\xd9", "got one without its pixels"),
        ("a.jpg", b"\xff\xd8\xff\xe0\0\0", "got a damaged one"),
        ("a.png", WHOLE, "expected a picture in PNG, as its ending says, got JPEG; let it end in .jpg"),
        ("a.png", encoded(bench(1, 48, 36), "PNG")[:-9], "breaks off"),
        ("a.png", png_of(0, 5), "expected a picture with a width and a height, got none"),
        ("a.png", png_of(12_000, 9_000), "at most 64 million pixels, no side over 20,000, got 12,000 by 9,000; make"),
        ("a.png", png_of(30_000, 1), "got 30,000 by 1; make it smaller"),
        ("a.webp", encoded(bench(1, 48, 36), "WEBP")[:-9], "breaks off"),
    ],
)
def test_a_sentence_for_a_file_that_cannot_be_shown(name: str, data: bytes, sentence: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(data)
    assert sentence in told(tmp_path / name)


def test_a_sentence_for_what_is_no_plain_file(tmp_path: Path) -> None:
    (tmp_path / "elsewhere.jpg").write_bytes(WHOLE)
    (tmp_path / "link.jpg").symlink_to("elsewhere.jpg")
    os.mkfifo(tmp_path / "pipe.jpg")  # opening one waits for a writer
    (tmp_path / "folder.jpg").mkdir()
    (tmp_path / "dangling.jpg").symlink_to("nowhere.jpg")
    with (tmp_path / "sparse.jpg").open("wb") as file:
        file.truncate(picture_files.BYTE_LIMIT + 1)
    assert told(tmp_path / "link.jpg").startswith("expected a file beside the page, got a link; put what it leads to")
    assert told(tmp_path / "pipe.jpg") == "expected a file, got a pipe; give the picture another name"
    assert told(tmp_path / "folder.jpg").startswith("expected a file, got a folder")
    assert "got a link" in told(tmp_path / "dangling.jpg")
    assert told(tmp_path / "sparse.jpg").startswith("expected at most 60,000,000 bytes, got 60,000,001")


def test_a_renamed_picture_is_named(tmp_path: Path) -> None:
    (tmp_path / "2025-03-14-benches.jpg").write_bytes(WHOLE)
    sentence = 'expected a file "2025-03-14-bench.jpg" beside the page, got none; '
    assert told(tmp_path / "2025-03-14-bench.jpg") == f'{sentence}write "2025-03-14-benches.jpg" if it was renamed'
    assert told(tmp_path / "zebra.jpg").endswith("got none; bring it back, or take it out of pictures")


def test_random_damage_is_a_picture_or_a_sentence(tmp_path: Path) -> None:
    for whole in (WHOLE, encoded(bench(1, 48, 36), "PNG"), encoded(bench(1, 48, 36), "WEBP")):
        for at in range(0, len(whole), 7):
            damaged = bytearray(whole)
            damaged[at] ^= 0x5A
            for data in (bytes(damaged), whole[:at]):
                try:
                    picture_shape.look(io.BytesIO(data))
                except PictureError as error:
                    assert error.remedy
