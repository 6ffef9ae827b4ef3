"""Opens the journal of a command, and mentions its problems."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

from journal.commands import problem_counts
from journal.commands.usage_errors import say
from journal.language import spoken
from journal.language.catalogue import _

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
        say(problem_counts.in_journal(len(opened.problems), opened.folder), err=True)


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
        say(problem_counts.in_settings(len(files.basis.problems), files.folder), err=True)
    return files.basis


def mention_other_format(basis: Basis) -> None:
    """Print one line on standard error if the journal is of a newer format, so that nothing is written."""
    if basis.other_format is not None:
        from journal.folder.write_refusals import other_words

        words = _("this {words}", words=other_words(basis.other_format))
        say(f"duskbook: {words}", err=True)


def mention_earlier(basis: Basis) -> None:
    """Print one line on standard error if a part of journal.toml cannot be read: what stands in, or is left out."""
    if basis.earlier is not None:
        text = _("journal.toml is broken; the settings of {since} stand in", since=basis.earlier.since)
        if basis.earlier.names:
            text = _("journal.toml is broken; {names}: the settings of {since} stand in")
            text = text.format(names=", ".join(basis.earlier.names), since=basis.earlier.since)
        say(f"duskbook: {text}", err=True)
    if basis.is_partial:
        text = _("a part of journal.toml is left out: {problem}", problem=basis.problems[0])
        say(f"duskbook: {text}", err=True)
