"""Memory of reading a photograph, measured in a process of its own, and the sentence for HEIC without its library."""

from __future__ import annotations

import importlib
import io
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from journal.errors import UsageError
from journal.paper import picture_file

AUGUST = Path(__file__).parent / "august.jpg"

# Prints the sheets that were read, and the megabytes that it took at most, with the straight picture for a page.
CHILD = """
import datetime, re, sys
from functools import partial
from pathlib import Path
import journal
from journal.errors import UsageError
from journal.paper import picture_file, sheet_lookup, sheet_pictures, sheet_reader

book = journal.open("example_year", today=datetime.date(2025, 12, 31), cache=False)
layout_of = partial(sheet_lookup.layout, book)

def most():
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) // 1024

def read(name):
    try:
        (picture,) = picture_file.read(Path(name))
    except UsageError:
        return 0
    found = sheet_reader.read(picture, layout_of).sheets
    for sheet in found:
        sheet_pictures.straight(picture, sheet.lies)
    return len(found)

read(sys.argv[1])  # what is imported and computed once is not counted
for name in sys.argv[1:]:
    before = most()
    print(read(name), most() - before)
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the most memory of a process is told by Linux")
def test_reading_takes_bounded_memory(tmp_path: Path) -> None:
    """The manual says how much: 10 MB for 12 megapixels as JPEG, 340 MB for 64 as PNG, nothing for more."""
    with Image.open(AUGUST) as image:
        usual = image.convert("RGB").resize((3000, 4000))
    usual.save(tmp_path / "usual.jpg", quality=85)
    usual.convert("L").resize((6900, 9200), Image.Resampling.NEAREST).save(tmp_path / "vast.png", compress_level=1)
    Image.new("1", (10_000, 10_000)).save(tmp_path / "hundred.png")
    names = [str(AUGUST), *(str(tmp_path / name) for name in ("hundred.png", "usual.jpg", "vast.png"))]
    told = subprocess.run([sys.executable, "-c", CHILD, *names], capture_output=True, text=True, check=True).stdout
    counts, megabytes = zip(*(map(int, line.split()) for line in told.splitlines()), strict=True)
    assert counts == (1, 0, 1, 1)
    assert megabytes[1] <= 10 and megabytes[2] <= 40 and megabytes[3] <= 400, megabytes


def test_heic_without_its_library_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> object:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", missing)
    data = io.BytesIO(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic").getvalue()
    with pytest.raises(UsageError) as error:
        picture_file.of("IMG_1.HEIC", data)
    assert str(error.value) == (
        '"IMG_1.HEIC" is HEIC: install the library for it ("pip install pillow-heif"), or save the picture as JPEG'
    )


def test_heic_with_its_library_but_broken_is_no_picture(monkeypatch: pytest.MonkeyPatch) -> None:
    class Library:
        def register_heif_opener(self) -> None:
            """The library that cannot open it."""

    monkeypatch.setattr(importlib, "import_module", lambda _: Library())
    with pytest.raises(UsageError, match=r'"a\.heic" is not a JPEG'):
        picture_file.of("a.heic", b"\x00\x00\x00\x18ftypheic" + bytes(40))
