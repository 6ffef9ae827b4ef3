"""What can go wrong, each with its place and its remedy.

    JournalError            anything Duskbook says no to; its text is one line for a person
    ├── FolderError         the folder is missing, unreadable, or holds no journal.toml
    ├── RuleError           a recurrence rule or a quota that cannot be read
    ├── UsageError          a date, period, measure or option that does not exist
    ├── ExportError         a file that was to leave the journal could not be made or written
    └── WriteError          a page could not be written and is as it was; it carries what was typed

    Problem                 not raised but gathered: one thing wrong in one file, where, and how to mend it

A broken page never stops the others, so reading gathers problems instead of raising.
"""

from __future__ import annotations

import msgspec


class JournalError(Exception):
    """The root of Duskbook's own exceptions; ``str()`` of one is a single line that names the remedy."""


class FolderError(JournalError):
    """The folder does not exist, cannot be read, or is no journal."""


class RuleError(JournalError, ValueError):
    """A recurrence rule or quota that RFC 5545 or Duskbook does not know."""


class UsageError(JournalError, ValueError):
    """A date, period, measure or option that does not exist."""


class ExportError(JournalError):
    """An export could not be made or written; what stood at its place before is as it was."""


class WriteError(JournalError):
    """A page could not be written, or was not to be, and is as it was on disk.

    `typed` is what was to be written, as TOML, so that nothing typed is lost with it; `problems` are those that
    the page would have had, where they are the reason.
    """

    def __init__(self, reason: str, typed: str = "", problems: tuple[Problem, ...] = ()) -> None:
        super().__init__(reason)
        self.typed = typed
        self.problems = problems


class Problem(msgspec.Struct, frozen=True, order=True, kw_only=True):
    """One thing wrong in one file of the journal.

    ``path`` is relative to the journal folder, with forward slashes. ``line`` and ``column`` count from 1
    and are 0 where the file as a whole is meant. ``where`` is the key path in the file, empty where none applies.

    >>> print(Problem(path="2025/2025-03-04.toml", line=12, column=9, where="hours.actual.sleep[0]",
    ...               expected='"HH:MM-HH:MM"', got='"7ish"', remedy='write e.g. "23:00-24:00"'))
    2025/2025-03-04.toml:12:9: hours.actual.sleep[0]: expected "HH:MM-HH:MM", got "7ish"; write e.g. "23:00-24:00"
    """

    path: str
    line: int = 0
    column: int = 0
    where: str = ""
    expected: str
    got: str
    remedy: str

    def __str__(self) -> str:
        place = f"{self.path}:{self.line}:{self.column}" if self.line else self.path
        key = f"{self.where}: " if self.where else ""
        return f"{place}: {key}expected {self.expected}, got {self.got}; {self.remedy}"
