"""Pictures without where and when they were taken: nothing is left, and no pixel or colour changes."""

from __future__ import annotations

import datetime as dt
import io
import random
import struct
import tracemalloc
import zlib

import pytest
from PIL import Image, ImageChops, ImageCms

from journal.errors import PictureError
from journal.pictures import cleaned_picture, colour_profile, orientation, picture_shape
from journal.pictures.cleaned_picture import CleanedPicture
from journal.pictures.decoded import decode
from tests.export.leaking import found
from tests.pictures.drawn import bench, encoded, jpeg
from tests.pictures.planted_pictures import PLANTS, opens, planted, png_chunk, position, with_segment
from tests.promises import pictures

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def cleaned(data: bytes) -> CleanedPicture:
    return cleaned_picture.cleaned(data, picture_shape.of_bytes(data))


def most_different(one: Image.Image, other: Image.Image) -> int:
    """The largest difference of a channel, 0 to 255."""
    extrema = ImageChops.difference(one.convert("RGB"), other.convert("RGB")).getextrema()
    return max(int(high) for _, high in extrema)


def test_a_part_of_the_campaign() -> None:
    assert pictures.run(2 * len(PLANTS), seed=11) == []


def test_the_search_finds_every_planted_token() -> None:
    for number in range(len(PLANTS)):
        kind, secret, name, data = planted(random.Random(number), number)
        assert secret.encode()[:8] in data or found(data, {secret: None}) or secret in name, kind


@pytest.mark.parametrize(
    ("kind", "mode", "options"),
    [
        ("JPEG", "RGB", {}),
        ("JPEG", "L", {"optimize": True}),
        ("JPEG", "RGB", {"progressive": True, "subsampling": 2, "icc_profile": SRGB, "comment": b"A word."}),
        ("JPEG", "RGB", {"restart_marker_rows": 1}),
        ("PNG", "RGB", {"icc_profile": SRGB}),
        ("PNG", "RGBA", {}),
        ("PNG", "P", {"transparency": 3}),
        ("PNG", "I;16", {}),
        ("PNG", "1", {}),
        ("WEBP", "RGBA", {"lossless": True, "icc_profile": SRGB, "xmp": b"<x/>"}),
        ("WEBP", "RGB", {"quality": 60}),
    ],
)
def test_no_pixel_changes(kind: str, mode: str, options: dict[str, object]) -> None:
    data = encoded(bench(5, 80, 60, "L" if mode == "I;16" else mode).convert(mode), kind, **options)
    copy = cleaned(data)
    before, after = opens(data), opens(copy.data)
    assert not copy.is_redrawn
    assert (before.mode, before.size, before.tobytes()) == (after.mode, after.size, after.tobytes())
    assert cleaned(copy.data).data == copy.data
    assert not {"comment", "xmp", "exif"} & after.info.keys()
    if "icc_profile" in options:
        assert most_different(decode(data, picture_shape.of_bytes(data)), in_srgb(after)) <= 1


def in_srgb(picture: Image.Image) -> Image.Image:
    """The picture as a program shows it that uses its profile."""
    of_file = ImageCms.ImageCmsProfile(io.BytesIO(picture.info["icc_profile"]))
    shown = ImageCms.profileToProfile(picture.convert("RGB"), of_file, ImageCms.createProfile("sRGB"))
    assert shown is not None
    return shown


@pytest.mark.parametrize("turned", range(1, 9))
def test_a_turned_jpeg_keeps_its_pixels_and_its_way_up(turned: int) -> None:
    data = with_segment(jpeg(5, 80, 60), 0xE1, position(random.Random(turned), "46ABCDEFGH", turned))
    copy = cleaned(data)
    assert not copy.is_redrawn and b"46ABCDEFGH" not in copy.data
    before, after = opens(data), opens(copy.data)
    assert before.tobytes() == after.tobytes()
    exif = after.getexif()
    assert dict(exif) == ({} if turned == 1 else {0x0112: turned})
    assert exif.get(0x0112, 1) == orientation.of_tiff(after.info.get("exif", b""))


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_a_turned_picture_of_another_format_is_turned(kind: str) -> None:
    lossless = {"lossless": True} if kind == "WEBP" else {}
    exif = position(random.Random(1), "46ABCDEFGH", 6)
    data = encoded(bench(5, 80, 60), kind, exif=exif, **lossless)
    copy = cleaned(data)
    assert copy.is_redrawn
    upright = bench(5, 80, 60).transpose(Image.Transpose.ROTATE_270)  # EXIF 3.0: row 0 is the right side
    assert most_different(opens(copy.data), upright) == 0


def test_a_picture_for_print_gets_the_colours_of_a_screen() -> None:
    copy = cleaned(encoded(bench(5, 80, 60, "CMYK"), "JPEG", quality=95, comment=b"A word."))
    assert copy.is_redrawn and opens(copy.data).mode == "RGB"
    assert most_different(opens(copy.data), bench(5, 80, 60)) < 60  # a rough conversion: no profile is given


def test_colours_of_a_profile_stay_and_its_words_go() -> None:
    plain = ImageCms.ImageCmsProfile(io.BytesIO(SRGB)).profile
    kept = colour_profile.colours_of(SRGB)
    assert kept is not None
    profile = ImageCms.ImageCmsProfile(io.BytesIO(kept)).profile
    for part in ("red_primary", "green_primary", "blue_primary", "media_white_point"):
        assert getattr(profile, part) == getattr(plain, part)
    assert (profile.profile_description, profile.copyright) == ("Colours", "None")
    assert profile.creation_date == dt.datetime(2000, 1, 1)  # noqa: DTZ001 (a profile has no zone)
    assert colour_profile.colours_of(SRGB.replace(b"acsp", b"none")) is None
    assert all(colour_profile.colours_of(SRGB[:at]) is None for at in range(0, len(SRGB) - 40, 13))


def test_a_damaged_picture_is_refused_or_clean() -> None:
    draws = random.Random(3)
    for data in (jpeg(5, 48, 36), encoded(bench(5, 48, 36), "PNG"), encoded(bench(5, 48, 36), "WEBP")):
        for _ in range(150):
            damaged = bytearray(data)
            for _ in range(draws.randint(1, 4)):
                damaged[draws.randrange(len(damaged))] = draws.randrange(256)
            try:
                assert cleaned(bytes(damaged)).data
            except PictureError as error:
                assert error.remedy


def test_a_small_file_of_many_pixels_takes_bounded_memory() -> None:
    """A PNG that promises 60 million pixels and has two million times the same byte behind them."""
    head = struct.pack(">IIBBBBB", 10_000, 6_000, 1, 0, 0, 0, 0)
    pixels = zlib.compress(bytes(6_000 * 1_251 + 2_000_000))
    chunks = [
        (b"IHDR", head),
        (b"iCCP", b"a\0\0" + zlib.compress(bytes(50_000_000))),
        (b"IDAT", pixels),
        (b"IEND", b""),
    ]
    data = b"\x89PNG\r\n\x1a\n" + b"".join(png_chunk(*chunk) for chunk in chunks)
    tracemalloc.start()
    with pytest.raises(PictureError):
        cleaned(data)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 30_000_000
