"""Pictures given to `duskbook log --picture`: read and cleaned, copied beside the page, and named in it."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from journal.errors import JournalError, PictureError, UsageError, WriteError
from journal.folder import failed_save, writing

if TYPE_CHECKING:
    from journal.folder.opened_files import OpenedFiles
    from journal.folder.page_versions import Base
    from journal.folder.writing import Changes
    from journal.pictures.new_picture import NewPicture, PlacedPicture
    from journal.settings import PictureKeeping


class AddedPictures(msgspec.Struct, frozen=True):
    """What adding pictures made: the changes of the page, and the answer to each picture."""

    changes: Changes
    answers: list[str]


def read(texts: Sequence[str], day: dt.date, keeping: PictureKeeping) -> list[NewPicture]:
    """Return the pictures of texts like "bench.jpg" or "bench.jpg=The new hooks.".

    Raises UsageError for a file that is no picture, or cannot be cleaned. Nothing is written.
    """
    from journal.pictures import new_picture  # noqa: PLC0415 (needed only with a picture)

    given = []
    for text in texts:
        path, equals, caption = (text, "", "") if os.path.lexists(text) else text.partition("=")
        if equals and not caption.strip():
            raise UsageError(f'--picture {text}: the caption is empty; write e.g. --picture "{path}=The new hooks."')
        file = Path(path).expanduser()
        try:
            copy = new_picture.read(file, keeping)
        except PictureError as error:
            raise UsageError(f"--picture {path}: {error}") from None
        named = {"source": file.name, "caption": caption.strip()}
        given.append(new_picture.NewPicture(day=day, copy=copy, keeping=keeping, **named))
    return given


@contextlib.contextmanager
def placed(given: Sequence[NewPicture], files: OpenedFiles, base: Base) -> Iterator[AddedPictures]:
    """Copy the pictures beside the page, and yield the changes that name them. The write lock is held meanwhile.

    If anything is raised and the page does not name them, the new files are removed again. Raises UsageError for a
    picture that has another caption already, and WriteError if a file cannot be written.
    """
    from journal.pictures import new_picture  # noqa: PLC0415 (as above)

    copied: list[PlacedPicture] = []
    try:
        with files.lock():
            yield _added(given, files, base, copied)
    except Exception as error:
        with contextlib.suppress(JournalError):  # what the page is cannot be told, so the files stay
            named = _lines(writing.look(files.folder, base.key).values.get("pictures"))
            new_picture.withdraw((files.folder / base.path).parent, copied, named)
        if isinstance(error, OSError):
            raise WriteError(failed_save.reason_of(files.folder, base.path, error)) from None
        raise


def _added(given: Sequence[NewPicture], files: OpenedFiles, base: Base, copied: list[PlacedPicture]) -> AddedPictures:
    from journal.pictures import new_picture  # noqa: PLC0415 (as above)

    beside = (files.folder / base.path).parent
    named, captions = _lines(base.values.get("pictures")), _table(base.values.get("captions"))
    before, answers = list(named), []
    changes: dict[tuple[str, ...], Any] = {}
    for new in given:
        copy = new_picture.place(beside, new, named)
        copied.append(copy)
        if copy.name not in named:
            named.append(copy.name)
        if new.caption:
            present = captions.setdefault(copy.name, new.caption)
            if present != new.caption:
                raise UsageError(f'--picture: {copy.name} has a caption already, "{present}"; change it on the page')
            changes["captions", copy.name] = new.caption
        answers.append(_answer(copy, bool(captions.get(copy.name)), new.keeping))
    if named != before:
        changes["pictures",] = named
    return AddedPictures(changes, answers)


def _answer(copy: PlacedPicture, has_caption: bool, keeping: PictureKeeping) -> str:
    what = f"picture {copy.name}"
    if copy.is_named:
        return f"{what} is there already"
    kept = "as it is" if keeping == "as they are" else "without where and when it was taken"
    return f"{what}, {kept}" + ("" if has_caption else ", with no caption yet to be read aloud")


def _lines(value: object) -> list[str]:
    return [str(line) for line in value] if isinstance(value, list) else []


def _table(value: object) -> dict[str, str]:
    return {str(name): str(text) for name, text in value.items()} if isinstance(value, Mapping) else {}
