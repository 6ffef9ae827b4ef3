"""The line that counts the problems of a journal. `quick_streaks` prints it too, so no library is imported here."""

from __future__ import annotations

from pathlib import Path

from journal.language.catalogue import _n


def in_journal(problems: int, folder: Path) -> str:
    """Return the line on the problems of a whole journal, with the command that lists them.

    >>> in_journal(1, Path("my-journal"))
    'duskbook: 1 problem in this journal; "duskbook check my-journal" tells where'
    """
    return "duskbook: " + _n(
        '{count} problem in this journal; "duskbook check {folder}" tells where',
        '{count} problems in this journal; "duskbook check {folder}" tells where',
        problems,
        folder=folder,
    )


def in_settings(problems: int, folder: Path) -> str:
    """Return the line on the problems of journal.toml."""
    return "duskbook: " + _n(
        '{count} problem in journal.toml; "duskbook check {folder}" tells where',
        '{count} problems in journal.toml; "duskbook check {folder}" tells where',
        problems,
        folder=folder,
    )
