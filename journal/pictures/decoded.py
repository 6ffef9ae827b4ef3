"""A picture decoded: turned right, in the colours of sRGB, and with nothing beside its pixels.

Only the first picture of a file is decoded. Pillow does it, whose decoders are the same that browsers use. A picture
for a page is decoded at a fraction of its size where its format can (`most_pixels`), which takes a third of the time.
"""

from __future__ import annotations

import io
import math
import warnings
from typing import TYPE_CHECKING, Any

from journal.errors import PictureError
from journal.language.catalogue import _, _p
from journal.pictures import jpeg_parts, orientation, picture_shape
from journal.pictures.picture_shape import PictureKind, PictureShape

if TYPE_CHECKING:
    from PIL.Image import Image

_HEIC_MODULE = "pillow_heif"
_MODES = {"L": "L", "LA": "RGBA", "PA": "RGBA", "RGBA": "RGBA", "RGBa": "RGBA", "I;16": "L", "I": "L", "1": "L"}
"""The mode of a decoded picture: grey, colours with transparency, or for every other mode colours."""


def decode(data: bytes, shape: PictureShape, most_pixels: int | None = None) -> Image:
    """Return the picture of a file. `most_pixels`: at least so many on the longer side, if it has them, are enough.

    Raises PictureError if the file breaks off, is damaged, or is of a kind that cannot be decoded here.
    """
    from PIL import Image as images  # noqa: PLC0415 (a tenth of a second, and most commands show no picture)

    _register(shape.kind)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of damaged data beside the pixels, which is not used
            with images.open(io.BytesIO(data), formats=_formats(shape.kind)) as file:
                picture_shape.refuse_large(*file.size)
                if most_pixels is not None and shape.kind == "JPEG" and max(file.size) > most_pixels:
                    scale = most_pixels / max(file.size)
                    file.draft(None, tuple(math.ceil(side * scale) for side in file.size))
                turned = _orientation(file, shape.kind)
                picture = _in_srgb(file)
    except PictureError:
        raise
    except MemoryError:
        raise PictureError(
            _("a picture that fits in memory"), _("a larger one"), _p("a picture", "make it smaller")
        ) from None
    except Exception as error:  # decoders raise errors of every kind for damaged data
        breaks_off = isinstance(error, OSError | SyntaxError)
        got = _("a damaged one or one that breaks off") if breaks_off else _("a damaged one")
        expected = _("a picture in {kind}", kind=shape.kind)
        raise PictureError(expected, got, _("copy it again from where it came")) from None
    return _turned(picture, turned)


def smaller(picture: Image, longest: int) -> Image:
    """Return a picture with at most so many pixels on its longer side."""
    from PIL.Image import Resampling  # noqa: PLC0415

    if max(picture.size) <= longest:
        return picture
    scale = longest / max(picture.size)
    size = tuple(max(1, round(side * scale)) for side in picture.size)
    return picture.resize(size, Resampling.LANCZOS, reducing_gap=3.0)


def encode(picture: Image, kind: PictureKind, quality: int = 95, *, is_exact: bool = False) -> bytes:
    """Return a picture as a file with nothing beside its pixels. HEIC becomes JPEG, which every program reads.

    `is_exact` is for a WebP that was compressed without losing a pixel. PNG always is.
    """
    file = io.BytesIO()
    picture.info.clear()  # otherwise comments, profiles and XMP of the decoded file are written
    if kind == "PNG":
        picture.save(file, "PNG", optimize=False)
    elif kind == "WebP":
        picture.save(file, "WEBP", quality=quality, method=4, lossless=is_exact)
    else:
        sampling = 0 if quality > 90 else 2
        on_white(picture).save(file, "JPEG", quality=quality, subsampling=sampling, optimize=True)
        return jpeg_parts.cleaned(file.getvalue())  # the same bytes as when it is cleaned
    return file.getvalue()


def on_white(picture: Image) -> Image:
    """Return a picture without transparency, on white as on paper."""
    if picture.mode != "RGBA":
        return picture
    from PIL import Image as images  # noqa: PLC0415

    paper = images.new("RGB", picture.size, "white")
    paper.paste(picture, mask=picture.getchannel("A"))
    return paper


def can_decode(kind: PictureKind) -> bool:
    """Return whether pictures of a format can be decoded here. HEIC needs a library of its own."""
    if kind != "HEIC":
        return True
    import importlib.util  # noqa: PLC0415

    return importlib.util.find_spec(_HEIC_MODULE) is not None


def _register(kind: PictureKind) -> None:
    if kind != "HEIC":
        return
    if not can_decode(kind):
        raise PictureError(
            _("a picture in JPEG, PNG or WebP"), "HEIC", _('install "pillow-heif" for it, or save it as JPEG')
        )
    import importlib  # noqa: PLC0415

    importlib.import_module(_HEIC_MODULE).register_heif_opener()


def _formats(kind: PictureKind) -> list[str]:
    return {"JPEG": ["JPEG"], "PNG": ["PNG"], "WebP": ["WEBP"], "HEIC": ["HEIF"]}[kind]


def _orientation(file: Any, kind: PictureKind) -> int:
    exif = file.info.get("exif") or b""
    return orientation.of_tiff(exif) if kind != "HEIC" else orientation.UPRIGHT  # its decoder turns it


def _in_srgb(file: Any) -> Image:
    """Return the pixels in grey or sRGB. A profile that cannot be used is left out."""
    from PIL import ImageCms  # noqa: PLC0415

    profile = file.info.get("icc_profile")
    file.load()
    mode = _MODES.get(file.mode, "RGB")
    if file.mode == "P" and "transparency" in file.info:
        mode = "RGBA"
    if profile and file.mode in ("RGB", "RGBA", "CMYK"):
        try:
            of_file = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            of_screen = ImageCms.createProfile("sRGB")
            converted = ImageCms.profileToProfile(file, of_file, of_screen, outputMode=mode)
            if converted is not None:
                return converted
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass
    return _grey(file) if mode == "L" else file.convert(mode)


def _grey(file: Any) -> Image:
    """Return a grey picture of 8 bits. One of 16 bits is scaled, which its conversion would not do."""
    if file.mode not in ("I;16", "I", "I;16B"):
        return file.convert("L")
    return file.point(lambda value: value * (1 / 257)).convert("L")


def _turned(picture: Image, turned: int) -> Image:
    from PIL.Image import Transpose  # noqa: PLC0415

    ways = {
        2: Transpose.FLIP_LEFT_RIGHT, 3: Transpose.ROTATE_180, 4: Transpose.FLIP_TOP_BOTTOM, 5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270, 7: Transpose.TRANSVERSE, 8: Transpose.ROTATE_90,
    }  # fmt: skip
    return picture.transpose(ways[turned]) if turned in ways else picture
