"""The language of the served journal, for what is said outside of its notebooks: by the guard, and in a page's HTML."""

from __future__ import annotations

from pathlib import Path

from journal.errors import FolderError
from journal.folder.reading import read_settings
from journal.language.languages import ENGLISH, LANGUAGES, Language

SETTINGS = "journal.toml"


class ServedLanguage:
    """The language that a folder's journal.toml says. It is read again when the file differs; without one, it stays."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._state: tuple[int, ...] = ()
        self._language = ENGLISH

    def __call__(self) -> Language:
        try:
            status = (self._folder / SETTINGS).stat()
            state = (status.st_mtime_ns, status.st_size, status.st_ino)
            if state != self._state:
                self._language = LANGUAGES.get(read_settings(self._folder).settings.language, ENGLISH)
                self._state = state
        except (OSError, FolderError):
            pass
        return self._language
