"""What one folder of a journal has, by its names: its folders, pages and other files."""

from __future__ import annotations

import msgspec

from journal.folder.folder_walk import KnownFolder
from journal.folder.name_states import NameStates
from journal.folder.stray_files import StrayFile
from journal.periods import PeriodKind


class JournalFile(msgspec.Struct, frozen=True, array_like=True, gc=False):
    """A page that is not read yet.

    `path` is relative to the journal, with forward slashes. `kind` and `key` give its period. `size` is in bytes.
    `content_ns` and `state_ns` are when its content and its inode state last changed, in ns.
    """

    path: str
    kind: PeriodKind
    key: str
    size: int
    content_ns: int
    state_ns: int


class FolderListing(msgspec.Struct, array_like=True):
    """What one folder has. Without links and second names it is plain: then every change of it is one in this folder.

    While its names are as `seen`, it has the same. None where that cannot be told.
    """

    known: KnownFolder
    pages: list[JournalFile] = []
    fixed: dict[str, str] = {}
    strays: list[StrayFile] = []
    calendars: list[str] = []
    is_plain: bool = True
    newest_ns: tuple[int, int] = (0, 0)
    """When the content and the inode state of a page last changed."""
    seen: NameStates | None = None
