"""Where an export goes: the file or folder typed after --to, for exports of one file and of several alike."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from journal.commands.terminal import one_line
from journal.errors import UsageError
from journal.export import write_files
from journal.export.write_files import Placed
from journal.language.catalogue import _


class ExportPlace(NamedTuple):
    """A typed place. It is a folder if one is there, if it ends with a slash, or if it has no ending such as ".pdf"."""

    path: Path
    is_folder: bool

    @classmethod
    def typed(cls, text: str) -> ExportPlace:
        """Return the place of a typed path. A home folder "~" is resolved.

        >>> [ExportPlace.typed(text).is_folder for text in ("new", "new.pdf", "v1.2/")]
        [True, False, True]
        """
        path = Path(text).expanduser()
        is_named_as_folder = text.endswith(("/", os.sep)) or not path.suffix
        return cls(path, path.is_dir() or (is_named_as_folder and not path.exists()))

    def file(self, name: str) -> Path:
        """Return the path of a file of this name: in the folder, or the typed file."""
        return self.path / name if self.is_folder else self.path


HERE = ExportPlace(Path(), True)
"""The current folder."""


def put(place: ExportPlace | None, name: str, data: bytes) -> list[Placed]:
    """Write an export of one file, by default in the current folder. Raises ExportError."""
    return [write_files.put((place or HERE).file(name), data)]


def put_all(place: ExportPlace | None, folder: str, files: Mapping[str, bytes]) -> list[Placed]:
    """Write an export of several files to a folder, by default one of the name `folder`.

    A place that has the ending of the files is a file: it takes a single one. Raises UsageError for more, and
    ExportError.
    """
    if place is None or place.is_folder or not files:
        return write_files.put_all(place.path if place else Path(folder), files)
    if place.path.suffix.lower() not in {Path(name).suffix for name in files} and not place.path.exists():
        return write_files.put_all(place.path, files)
    if len(files) > 1:
        text = _('--to: "{file}" is one file, and this export makes {number}; name a folder, e.g. "--to {folder}"')
        path, folder_path = one_line(str(place.path)), one_line(str(place.path.with_suffix("")))
        raise UsageError(text.format(file=path, number=len(files), folder=folder_path))
    return [write_files.put(place.path, data) for data in files.values()]
