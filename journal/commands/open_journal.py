"""Opens the journal of a command, and mentions its problems."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

from journal.commands.usage_errors import say
from journal.language import spoken

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.opened_files import OpenedFiles
    from journal.folder.reading import Basis


def open_journal(folder: Path, today: dt.date | None = None) -> Journal:
    """The journal as of a day, by default today."""
    import journal
    from journal.commands import clock

    opened = journal.open(folder, today=today or clock.today)
    spoken.speak(opened.settings.language)
    return opened


def mention_problems(opened: Journal) -> None:
    """Print one line on standard error if the journal has problems, and one if it is of a newer format."""
    mention_other_format(opened.files.basis)
    mention_earlier(opened.files.basis)
    if opened.problems:
        from journal.commands.check import counted

        number = counted(len(opened.problems), "problem")
        say(f'duskbook: {number} in this journal; "duskbook check {opened.folder}" tells where', err=True)


def opened_to_write(files: OpenedFiles, now: dt.datetime) -> Basis:
    """What journal.toml says, as `mention_settings`. An interrupted save is finished first, which is printed too."""
    from journal.folder import interrupted_save

    spoken.speak(files.basis.settings.language)
    if told := interrupted_save.finish(files, now):
        say(f"duskbook: {told}", err=True)
    return mention_settings(files)


def mention_settings(files: OpenedFiles) -> Basis:
    """What journal.toml says. Prints one line on standard error if it has problems, and one if its format is newer.

    For commands that do not open the whole journal.
    """
    spoken.speak(files.basis.settings.language)
    mention_other_format(files.basis)
    mention_earlier(files.basis)
    if files.basis.problems:
        from journal.commands.check import counted

        number = counted(len(files.basis.problems), "problem")
        say(f'duskbook: {number} in journal.toml; "duskbook check {files.folder}" tells where', err=True)
    return files.basis


def mention_other_format(basis: Basis) -> None:
    """Print one line on standard error if the journal is of a newer format, so that nothing is written."""
    if basis.other_format is not None:
        from journal.folder.write_refusals import other_words

        say(f"duskbook: this {other_words(basis.other_format)}", err=True)


def mention_earlier(basis: Basis) -> None:
    """Print one line on standard error if a part of journal.toml cannot be read: what stands in, or is left out."""
    if basis.earlier is not None:
        what = f"{', '.join(basis.earlier.names)}: " if basis.earlier.names else ""
        say(f"duskbook: journal.toml is broken; {what}the settings of {basis.earlier.since} stand in", err=True)
    if basis.is_partial:
        say(f"duskbook: a part of journal.toml is left out: {basis.problems[0]}", err=True)
