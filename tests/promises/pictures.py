"""Where and when a picture was taken stays in no copy and in no export.

    python -m tests.promises.pictures --count 500

Each case plants a token in one place of a picture (`tests/pictures/planted_pictures.py`), adds the picture to a journal
as `duskbook log --picture` does, and puts the file itself beside another page, as a person may. Then the copy, its
name, and everything that is exported are searched for the tokens.
"""

from __future__ import annotations

import datetime as dt
import random
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import journal
from journal.errors import PictureError
from journal.export import retrospective, table_files, text
from journal.export.audience import Audience
from journal.pictures import new_picture, picture_shape
from journal.pictures.new_picture import NewPicture
from tests.export.leaking import found
from tests.journals import write
from tests.pictures.planted_pictures import opens, planted
from tests.promises import campaign

_BATCH = 40  # cases in a journal
_FIRST = dt.date(2025, 3, 1)


def run(count: int, seed: int, tell: Callable[[str], None] = print) -> list[str]:
    """Run cases and return the failures."""
    failures: list[str] = []
    for begin in range(0, count, _BATCH):
        with tempfile.TemporaryDirectory() as place:
            told = _batch(Path(place), range(begin, min(begin + _BATCH, count)), seed)
        for failure in told:
            tell(failure)
        failures += told
    return failures


def _batch(place: Path, numbers: range, seed: int) -> list[str]:
    failures: list[str] = []
    kinds: dict[str, str] = {}
    days: dict[dt.date, dict[str, Any]] = {}
    files: dict[str, bytes] = {}
    beside = place / "copies"
    for number in numbers:
        kind, secret, source, data = planted(random.Random(f"{seed}:{number}"), number)
        kinds[secret] = f"{kind}, case {number} of seed {seed}"
        name = f"{number} {source}"
        day = _FIRST + dt.timedelta(days=number - numbers.start)
        days[day] = {"memory": "A day.", "share": True, "pictures": [name], "captions": {name: "The bench."}}
        files[f"{day.year}/{name}"] = data
        wrong = _of_copy(beside, day, name, data, secret)
        failures += [f"{one}: {kinds[secret]}" for one in wrong]
    folder = write(place / "journal", days)
    for path, data in files.items():
        (folder / path).write_bytes(data)
    for exported, data in exports(folder).items():
        failures += [f"{exported}: {kinds[secret]}" for secret in found(data, kinds)]
        failures += [f"the name {exported}: {kinds[secret]}" for secret in found(exported.encode(), kinds)]
    return failures


def _of_copy(beside: Path, day: dt.date, name: str, data: bytes, secret: str) -> list[str]:
    """Add a picture, and search its copy and the copy's name. Adding it again must make no second file."""
    try:
        copy = new_picture.of_bytes(data, "cleaned")
    except PictureError:
        return []  # nothing is kept of a damaged picture
    new = NewPicture(day=day, source=name, copy=copy, keeping="cleaned")
    placed = new_picture.place(beside, new, [])
    again = new_picture.place(beside, new, [placed.name])
    kept = (beside / placed.name).read_bytes()
    failures = [] if again.name == placed.name else ["a second file"]
    shape = picture_shape.of_bytes(data)
    if sorted(opens(kept).size) != sorted((shape.width, shape.height)):
        failures.append("another size")
    if secret.encode() in kept or found(kept, {secret: None}):
        failures.append("the copy")
    if found(placed.name.encode(), {secret: None}):
        failures.append("the copy's name")
    return failures


def exports(folder: Path) -> Mapping[str, bytes]:
    """Everything that is exported of a journal of pictures, by name."""
    book = journal.open(folder, today=_FIRST + dt.timedelta(days=_BATCH), cache=False)
    files = {**table_files.files(book, "csv"), **text.text(book, _FIRST, book.tables.last)}
    readers: tuple[Audience, ...] = ("me", "friend")
    for reader in readers:
        document = retrospective.document(book, _FIRST.year, reader)
        for form in ("html", "pdf"):
            made = retrospective.files(document, form, reader).files
            files |= {f"{reader} {name}": data for name, data in made.items()}
    return files


if __name__ == "__main__":
    sys.exit(campaign.main("pictures", "pictures", run, count=500, about=__doc__))
