"""Opens the journal of a command, and mentions its problems."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

from journal.commands.usage_errors import say

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.opened_files import OpenedFiles
    from journal.folder.reading import Basis


def open_journal(folder: Path, today: dt.date | None = None) -> Journal:
    """The journal as of a day, by default today."""
    import journal
    from journal.commands import clock

    return journal.open(folder, today=today or clock.today)


def mention_problems(opened: Journal) -> None:
    """Print one line on standard error if the journal has problems."""
    if opened.problems:
        from journal.commands.check import counted

        number = counted(len(opened.problems), "problem")
        say(f'duskbook: {number} in this journal; "duskbook check {opened.folder}" tells where', err=True)


def mention_settings(files: OpenedFiles) -> Basis:
    """What journal.toml says. Prints one line on standard error if it has problems.

    For commands that do not open the whole journal.
    """
    if files.basis.problems:
        from journal.commands.check import counted

        number = counted(len(files.basis.problems), "problem")
        say(f'duskbook: {number} in journal.toml; "duskbook check {files.folder}" tells where', err=True)
    return files.basis
