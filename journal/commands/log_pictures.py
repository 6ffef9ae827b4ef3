"""Pictures given to `duskbook log --picture`: read and cleaned before anything is written, and what is answered."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from journal.errors import PictureError, UsageError
from journal.language.catalogue import _

if TYPE_CHECKING:
    from journal.pictures.new_picture import AddedPictures, NewPicture, PlacedPicture
    from journal.settings import PictureKeeping


def read(texts: Sequence[str], day: dt.date, keeping: PictureKeeping) -> list[NewPicture]:
    """Return the pictures of texts like "bench.jpg" or "bench.jpg=The new hooks.".

    Raises UsageError for a file that is no picture, or cannot be cleaned. Nothing is written.
    """
    if not texts:
        return []
    from journal.pictures import new_picture  # noqa: PLC0415 (needed only with a picture)

    given = []
    for text in texts:
        path, equals, caption = (text, "", "") if os.path.lexists(text) else text.partition("=")
        if equals and not caption.strip():
            refusal = _('--picture {typed}: the caption is empty; write e.g. --picture "{file}=The new hooks."')
            raise UsageError(refusal.format(typed=text, file=path))
        file = Path(path).expanduser()
        try:
            copy = new_picture.read(file, keeping)
        except PictureError as error:
            raise UsageError(f"--picture {path}: {error}") from None
        named = {"source": file.name, "caption": caption.strip()}
        given.append(new_picture.NewPicture(day=day, copy=copy, keeping=keeping, **named))
    return given


def answers(added: AddedPictures, keeping: PictureKeeping) -> list[str]:
    """Return the answer to each picture."""
    return [_answer(copy, said, keeping) for copy, said in zip(added.placed, added.captioned, strict=True)]


def _answer(copy: PlacedPicture, has_caption: bool, keeping: PictureKeeping) -> str:
    if copy.is_named:
        return _("picture {name} is there already", name=copy.name)
    text = _("picture {name}, without where and when it was taken", name=copy.name)
    if keeping == "as they are":
        text = _("picture {name}, as it is", name=copy.name)
    return text if has_caption else _("{picture}, with no caption yet to be read aloud", picture=text)
