"""The files of a journal as one request reads them. A request is one call of a form, or one command.

journal.toml has one version from the first page that is checked to the last that is written, so no save mixes old and
new names. Code that opens the journal again in the same request, to show it after a save, takes over these files.
Unchanged files are not read again.
"""

from __future__ import annotations

import contextlib
import functools
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from journal.folder import locking, reading
from journal.folder.discover import SETTINGS_NAME
from journal.folder.page_versions import FileState, PageVersions, file_state, is_still
from journal.folder.reading import Basis

if TYPE_CHECKING:
    from journal.folder.discover import JournalFile
    from journal.folder.made_version import MadePage
    from journal.folder.snapshot import Snapshot
    from journal.folder.stray_files import PageCopy


class OpenedFiles:
    """The files that a request has read: journal.toml as `basis`, and the versions of pages as `pages`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     folder = Path(name)
    ...     _ = (folder / "journal.toml").write_text('title = "Spine and thread"')
    ...     files = OpenedFiles(folder)
    ...     before = files.basis.settings.title
    ...     _ = (folder / "journal.toml").write_text('title = "Thread"')
    ...     before, files.basis.settings.title, files.again().basis.settings.title
    ('Spine and thread', 'Spine and thread', 'Thread')
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.pages = PageVersions(folder)
        self.keeps = False
        """Whether what is computed from the files may be kept in `.cache`."""
        self.opened_ns = 0
        """When the journal was begun to be opened, on the clock of `time.monotonic_ns`."""
        self.made: dict[str, MadePage] = {}
        """By key of a page, the last version that was made of it. A rehearsal makes what is written then."""
        self._is_locked = False
        self._settings_state: FileState | None = None
        self._settings_read_ns = 0
        self._recorded: tuple[bytes, Snapshot] | None = None
        self.changed: tuple[JournalFile, ...] = ()
        """The pages that changed since the journal was opened before, if they are few and that is known."""
        self.copies: tuple[PageCopy, ...] | None = None
        """The copies of pages that lay in the folder when the journal was opened, None if it was not."""

    @functools.cached_property
    def basis(self) -> Basis:
        """journal.toml, read at first access. Raises FolderError as `reading.read_settings` does."""
        self._settings_state, self._settings_read_ns = file_state(self.folder / SETTINGS_NAME), time.time_ns()
        basis = reading.read_settings(self.folder)
        self.pages.same(basis.base)  # so a form that changes journal.toml does not parse it again
        return basis

    @contextlib.contextmanager
    def lock(self) -> Iterator[None]:
        """Hold the write lock of the journal, if this request does not hold it already. Raises WriteError and OSError
        as `locking.write_lock` does."""
        if self._is_locked:
            yield
            return
        with locking.write_lock(self.folder):
            self._is_locked = True
            try:
                yield
            finally:
                self._is_locked = False

    def again(self) -> OpenedFiles:
        """Return the files for opening the journal again: only files that changed since are read again."""
        reopened = OpenedFiles(self.folder)
        reopened.pages, reopened._recorded = self.pages.again(), self._recorded
        if "basis" in self.__dict__:
            state, read_ns = self._settings_state, self._settings_read_ns
            if is_still(state, read_ns, file_state(self.folder / SETTINGS_NAME)):
                reopened._settings_state, reopened._settings_read_ns = state, read_ns
                reopened.basis = self.basis
        return reopened

    def later(self) -> OpenedFiles:
        """Return the files of another request, for which the journal is still as it was opened. It has no versions of
        pages yet: over many requests, and edits, they would pile up."""
        others = self.again()
        others.pages, others.copies = PageVersions(self.folder), self.copies
        others.keeps, others.opened_ns = self.keeps, self.opened_ns
        return others

    def record(self, stamp: bytes, snapshot: Snapshot) -> None:
        """Keep the snapshot of all pages, for opening the journal again."""
        self._recorded = stamp, snapshot

    @property
    def pages_read(self) -> Sequence[JournalFile]:
        """The pages of the opened journal that could be read, in the state in which they were listed before."""
        return [] if self._recorded is None else self._recorded[1].files

    def recorded(self, stamp: bytes) -> Snapshot | None:
        """Return the snapshot of all pages, if it was made with the same journal.toml."""
        return self._recorded[1] if self._recorded is not None and self._recorded[0] == stamp else None
