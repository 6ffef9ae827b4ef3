"""Exceptions and problems, each with its place and its remedy.

    JournalError            base class; its text is one line for the user
    ├── FolderError         the folder is unreadable or a file
    │   └── GoneError       the folder is missing, or has no journal.toml
    ├── RuleError           an invalid recurrence rule or quota
    ├── UsageError          a date, period, measure or option that does not exist
    ├── ExportError         an export could not be made or written
    ├── BackupError         a backup could not be made, read or restored
    ├── PictureError        a picture could not be read, shown or added
    └── WriteError          a page could not be written and is unchanged; it has the unsaved content

    Problem                 collected, not raised: one error in one file, with its place and its remedy

A broken page must not affect the others, so reading collects problems instead of raising.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from journal.language.catalogue import _
from journal.language.lazy_text import Phrase, said
from journal.language.printable import printable


class JournalError(Exception):
    """Base class of Duskbook's exceptions. Its ``str()`` is a single line that names the remedy.

    Messages quote what a person or a program wrote. They are made `printable` here, so that none is forgotten.
    """

    def __init__(self, reason: str = "") -> None:
        super().__init__(printable(reason))


class FolderError(JournalError):
    """The folder does not exist, cannot be read, or is not a journal."""


class GoneError(FolderError):
    """The folder does not exist, or has no journal.toml. A journal that was open before has vanished then."""


class RuleError(JournalError, ValueError):
    """A recurrence rule or quota that RFC 5545 or Duskbook does not allow.

    `reason` and `remedy` are not looked up in a language yet. `rule` is the rule in quotes, if it is to be named.
    """

    def __init__(self, reason: Phrase, remedy: Phrase = "", *, rule: str = "") -> None:
        parts = f"{said(reason)}; {said(remedy)}" if remedy else said(reason)
        super().__init__(f"{rule}: {parts}" if rule else parts)
        self.reason, self.remedy = reason, remedy


class UsageError(JournalError, ValueError):
    """A date, period, measure or option that does not exist."""


class ExportError(JournalError):
    """An export could not be made or written. An existing file at its place is unchanged."""


class BackupError(JournalError):
    """A backup could not be made, read or restored. No file is changed, and none is left half."""


class PictureError(JournalError):
    """A picture of a day could not be read, shown or added. `expected`, `got` and `remedy` are as in `Problem`."""

    def __init__(self, expected: str, got: str, remedy: str) -> None:
        super().__init__(_one_line(expected, got, remedy))
        self.expected, self.got, self.remedy = expected, got, remedy


class WriteError(JournalError):
    """A page could not be written, or was rejected, and is unchanged on disk.

    `typed` is the rejected content as TOML, so that nothing typed is lost. `problems` are the problems that the page
    would have had, if they are the reason.
    """

    def __init__(self, reason: str, typed: str = "", problems: tuple[Problem, ...] = ()) -> None:
        super().__init__(reason)
        self.typed = typed
        self.problems = problems


class ProblemWords(NamedTuple):
    """The words of a problem as they are kept: said already, or not looked up yet."""

    expected: Phrase
    got: Phrase
    remedy: Phrase


class Problem:
    """One error in one file of the journal.

    ``path`` is relative to the journal folder, with forward slashes. ``line`` and ``column`` count from 1 and are 0
    for the file as a whole. ``where`` is the key path in the file, or empty. The other words are in the language that
    is spoken when they are asked for (`journal.language.lazy_text`). A problem does not change; `but` returns another.

    >>> print(Problem(path="2025/2025-03-04.toml", line=12, column=9, where="hours.actual.sleep[0]",
    ...               expected='"HH:MM-HH:MM"', got='"7ish"', remedy='write e.g. "23:00-24:00"'))
    2025/2025-03-04.toml:12:9: hours.actual.sleep[0]: expected "HH:MM-HH:MM", got "7ish"; write e.g. "23:00-24:00"
    """

    __slots__ = ("column", "line", "path", "where", "words")

    def __init__(
        self,
        *,
        path: str,
        line: int = 0,
        column: int = 0,
        where: str = "",
        expected: Phrase,
        got: Phrase,
        remedy: Phrase,
    ) -> None:
        self.path: Final = printable(path)
        self.line: Final = line
        self.column: Final = column
        self.where: Final = printable(where)
        self.words: Final = ProblemWords(expected, got, remedy)

    @property
    def expected(self) -> str:
        """What was expected, as a label: "a number from 1 to 5"."""
        return printable(said(self.words.expected))

    @property
    def got(self) -> str:
        """What is there instead."""
        return printable(said(self.words.got))

    @property
    def remedy(self) -> str:
        """What to do, as a sentence without a capital letter and a full stop: "write one in between"."""
        return printable(said(self.words.remedy))

    def but(self, **changes: Any) -> Problem:
        """The problem with other values."""
        place: dict[str, Any] = {"path": self.path, "line": self.line, "column": self.column, "where": self.where}
        return Problem(**(place | self.words._asdict() | changes))

    def _parts(self) -> tuple[str, int, int, str, ProblemWords]:
        return self.path, self.line, self.column, self.where, self.words

    def __eq__(self, other: object) -> bool:
        return self._parts() == other._parts() if isinstance(other, Problem) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._parts())

    def __lt__(self, other: Problem) -> bool:
        """Whether it stands before another, by its place; of one place, by the words as they are shown."""
        if self.path != other.path:  # thousands are sorted, most of them of different files
            return self.path < other.path
        mine, others = self._parts()[1:4], other._parts()[1:4]
        return mine < others if mine != others else tuple(map(said, self.words)) < tuple(map(said, other.words))

    def __repr__(self) -> str:
        return f"Problem({str(self)!r})"

    def __str__(self) -> str:
        place = f"{self.path}:{self.line}:{self.column}" if self.line else self.path
        key = f"{self.where}: " if self.where else ""
        return f"{place}: {key}{_one_line(self.expected, self.got, self.remedy)}"


def _one_line(expected: str, got: str, remedy: str) -> str:
    return _("expected {expected}, got {got}; {remedy}", expected=expected, got=got, remedy=remedy)
