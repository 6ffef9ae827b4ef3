"""Pictures drawn for pages and print: turned right, small, kept in `.cache`, and nothing from elsewhere believed."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from PIL import Image, ImageChops

from journal.errors import PictureError
from journal.folder import room, sealed_files
from journal.pictures import drawn_picture, picture_files
from journal.pictures.drawn_picture import drawn
from tests.pictures.drawn import bench, encoded, jpeg
from tests.pictures.planted_pictures import opens, packet, position, profile, with_segment

SECRET = "46ABCDEFGH"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "2025").mkdir()
    return tmp_path


def put(folder: Path, name: str, data: bytes) -> str:
    (folder / "2025" / name).write_bytes(data)
    return f"2025/{name}"


def kept(folder: Path) -> list[Path]:
    return sorted(path for path in (folder / ".cache/pictures").iterdir() if path.name != "seal")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.jpg", with_segment(jpeg(1, 600, 400), 0xE1, position(random.Random(1), SECRET, 6))),
        ("a.png", encoded(bench(1, 600, 400, "RGBA"), "PNG", exif=position(random.Random(1), SECRET, 6))),
        ("a.webp", encoded(bench(1, 600, 400), "WEBP", exif=position(random.Random(1), SECRET, 6), xmp=packet(SECRET))),
    ],
)
def test_a_picture_is_turned_and_has_nothing_beside_its_pixels(name: str, data: bytes, folder: Path) -> None:
    made = drawn(folder, put(folder, name, data), 300)
    picture = opens(made.data)
    assert (picture.format, picture.size, (made.width, made.height)) == ("JPEG", (200, 300), (200, 300))
    assert not picture.getexif() and SECRET.encode()[:8] not in made.data
    upright = bench(1, 600, 400).transpose(Image.Transpose.ROTATE_270).resize((200, 300))
    difference = ImageChops.difference(picture, upright).convert("L")
    assert sum(i * n for i, n in enumerate(difference.histogram())) / (200 * 300) < 6  # of 255


def test_a_small_picture_is_not_made_larger(folder: Path) -> None:
    assert drawn(folder, put(folder, "a.jpg", jpeg(1, 80, 60)), 800).width == 80


@pytest.mark.parametrize("mode", ["CMYK", "P", "L", "1"])
def test_every_kind_of_colours_is_drawn(mode: str, folder: Path) -> None:
    kind = "PNG" if mode == "P" else "JPEG"
    made = drawn(folder, put(folder, f"a.{kind.lower()}", encoded(bench(1, 80, 60, mode), kind)), 40)
    assert opens(made.data).size == (40, 30)


def test_grey_of_16_bits_is_not_white(folder: Path) -> None:
    grey = bench(1, 80, 60, "L")
    deep = Image.frombytes("I;16", grey.size, b"".join(bytes([value, value]) for value in grey.tobytes()))
    made = drawn(folder, put(folder, "a.png", encoded(deep, "PNG")), 80)
    assert ImageChops.difference(opens(made.data).convert("L"), grey).getextrema()[1] < 40


def test_a_profile_with_words_leaves_none(folder: Path) -> None:
    made = drawn(folder, put(folder, "a.jpg", encoded(bench(1, 80, 60), "JPEG", icc_profile=profile(SECRET))), 80)
    assert b"ICC" not in made.data and SECRET.encode() not in made.data


def test_it_is_drawn_once_and_again_when_the_file_changes(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = put(folder, "a.jpg", jpeg(1, 300, 200))
    first = drawn(folder, file, 100)
    (cached,) = kept(folder)
    assert cached.stat().st_mode & 0o777 == 0o600
    with monkeypatch.context() as patch:
        patch.setattr(picture_files, "read", lambda _: pytest.fail("it was decoded again"))
        assert drawn(folder, file, 100) == first
    put(folder, "a.jpg", jpeg(2, 300, 200))
    assert drawn(folder, file, 100).data != first.data


@pytest.mark.parametrize("what", ["svg", "large", "exif", "png"])
def test_what_lies_in_the_cache_is_not_believed(what: str, folder: Path) -> None:
    """Not even with its seal, which only this journal on this machine can make."""
    file = put(folder, "a.jpg", jpeg(1, 300, 200))
    made = drawn(folder, file, 100)
    (cached,) = kept(folder)
    hostile = {
        "svg": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        "large": jpeg(9, 300, 200),
        "exif": with_segment(jpeg(9, 100, 60), 0xE1, position(random.Random(1), SECRET)),
        "png": encoded(bench(9, 100, 60), "PNG"),
    }
    sealed_files.save(folder, drawn_picture.FOLDER, cached.name, hostile[what])
    assert drawn(folder, file, 100) == made
    cached.write_bytes(jpeg(9, 100, 60))
    assert drawn(folder, file, 100) == made


def test_the_cache_is_bounded_and_goes_on_a_full_disk(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawn_picture, "TOTAL_LIMIT", 20_000)
    for seed in range(40):
        drawn(folder, put(folder, f"{seed}.jpg", jpeg(seed, 60, 40)), 60)
    assert 5_000 < sum(path.stat().st_size for path in kept(folder)) < 22_000
    assert room.make(folder, 1_000_000) and kept(folder) == []


def test_a_cache_that_cannot_be_written_costs_nothing(folder: Path) -> None:
    (folder / ".cache").write_text("a file", encoding="utf-8")
    assert drawn(folder, put(folder, "a.jpg", jpeg(1, 80, 60)), 40).width == 40


@pytest.mark.parametrize("data", [jpeg(1, 80, 60)[:-2] + b"..\xff\xd9", jpeg(1, 80, 60)[:300] + b"\xff\xd9", b"RIFF"])
def test_a_damaged_picture_is_drawn_or_told(data: bytes, folder: Path) -> None:
    try:
        assert drawn(folder, put(folder, "a.jpg", data), 40).width == 40
    except PictureError as error:
        assert error.remedy
