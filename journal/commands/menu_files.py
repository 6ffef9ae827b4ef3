"""Writes and removes the entry of a journal in the desktop's menu. Other entries and files stay as they are."""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path

from journal.commands import menu_entry
from journal.commands.menu_entry import MenuEntry
from journal.errors import UsageError
from journal.export import write_files
from journal.language.catalogue import _


def entry_of(folder: Path, title: str) -> MenuEntry:
    """Return the entry of a journal. It starts the program that runs now, by its whole path."""
    beside = Path(sys.executable).parent
    script = beside / ("duskbook.exe" if sys.platform == "win32" else "duskbook")
    windowless = beside / "pythonw.exe"
    python = str(windowless if sys.platform == "win32" and windowless.exists() else Path(sys.executable))
    command = (str(script),) if script.exists() and sys.platform != "win32" else (python, "-m", "journal")
    return MenuEntry(title, folder.resolve(), command)


def add(entry: MenuEntry, platform: str = sys.platform) -> list[Path]:
    """Write the files of an entry, in place of an earlier one of the journal. Return their paths.

    Raises UsageError and ExportError.
    """
    top = menu_entry.place(platform, dict(os.environ), Path.home())
    written = []
    for file in menu_entry.files(entry, platform):
        path = write_files.put(top / file.path, file.data).path
        if file.is_run:
            path.chmod(0o700)
        written.append(path)
    return written


def remove(entry: MenuEntry, platform: str = sys.platform) -> list[Path]:
    """Remove the files of an entry. The icon stays while another entry has it.

    Returns the removed paths. Raises UsageError if there is no entry.
    """
    top = menu_entry.place(platform, dict(os.environ), Path.home())
    removed = []
    for file in menu_entry.files(entry, platform):
        path = top / file.path
        is_shared = path.suffix == ".svg" and any(top.glob("applications/duskbook-*.desktop"))
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            if not is_shared:
                path.unlink()
                removed.append(path)
    if not removed:
        text = _('the menu has no entry for "{folder}"; "duskbook menu {folder}" adds one')
        raise UsageError(text.format(folder=entry.folder))
    for path in removed:
        if ".app/" in path.as_posix():
            with contextlib.suppress(OSError):
                path.parent.rmdir()
                path.parent.parent.rmdir()
                path.parent.parent.parent.rmdir()
    return removed
