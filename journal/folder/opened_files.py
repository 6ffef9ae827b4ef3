"""The files of a journal as one request reads them. A request is one question of a form, or one command.

journal.toml has one version from the first page that is checked to the last one that is written, so no save is half by
the old names and half by the new. Whoever opens the journal once more in the same request, to show it after a save,
hands its files on: what did not change meanwhile is not read again.
"""

from __future__ import annotations

import functools
import time
from pathlib import Path
from typing import TYPE_CHECKING

from journal.folder import reading
from journal.folder.discover import SETTINGS_NAME
from journal.folder.page_versions import FileState, PageVersions, file_state, is_still
from journal.folder.reading import Basis

if TYPE_CHECKING:
    from journal.folder.snapshot import Snapshot


class OpenedFiles:
    """What was read of a journal: `basis` is its journal.toml, `pages` are the versions of its pages.

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
        self._settings_state: FileState | None = None
        self._settings_read_ns = 0
        self._recorded: tuple[bytes, Snapshot] | None = None

    @functools.cached_property
    def basis(self) -> Basis:
        """journal.toml, read when it is first asked for. Raises FolderError as `reading.read_settings` does."""
        self._settings_state, self._settings_read_ns = file_state(self.folder / SETTINGS_NAME), time.time_ns()
        return reading.read_settings(self.folder)

    def again(self) -> OpenedFiles:
        """The files for a journal that is opened once more: what changed since is read then, and nothing else."""
        found = OpenedFiles(self.folder)
        found.pages, found._recorded = self.pages.again(), self._recorded
        if "basis" in self.__dict__:
            before, read_ns = self._settings_state, self._settings_read_ns
            if is_still(before, read_ns, file_state(self.folder / SETTINGS_NAME)):
                found._settings_state, found._settings_read_ns = before, read_ns
                found.basis = self.basis
        return found

    def record(self, stamp: bytes, snapshot: Snapshot) -> None:
        """Keep what was read of all pages, for a journal that is opened once more."""
        self._recorded = stamp, snapshot

    def recorded(self, stamp: bytes) -> Snapshot | None:
        """What was read of all pages, if it was read by the same journal.toml."""
        return self._recorded[1] if self._recorded is not None and self._recorded[0] == stamp else None
