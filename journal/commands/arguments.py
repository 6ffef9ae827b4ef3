"""Folders, days, stretches of days and ports, as they are typed on a command line.

Each is a click type that says in one line what is wrong and what to write; `example` is what it shows.
"""

from __future__ import annotations

import datetime as dt
import difflib
import math
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from journal.commands.usage_errors import instead
from journal.errors import FolderError, UsageError

if TYPE_CHECKING:
    from journal.periods import Period, PeriodKind, PeriodName
    from journal.settings import Weekday

SETTINGS_FILE = "journal.toml"

DateRange = tuple[dt.date, dt.date]
"""The first and the last day of some days, both included."""


class DaysAsked(NamedTuple):
    """Days as they were typed, before the journal is read. Which days a week has depends on its `week_starts`."""

    first: PeriodName
    last: PeriodName

    def days(self, *, week_starts: Weekday) -> DateRange:
        """The first and the last of them, in a journal whose weeks start on a weekday."""
        return self.first.period(week_starts=week_starts).first, self.last.period(week_starts=week_starts).last


class DayParam(click.ParamType[dt.date]):
    """A date as ISO 8601 has it."""

    name = "day"
    example = "2025-03-14"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> dt.date:
        return _parsed(value, param, "day").inside


class PeriodParam(click.ParamType["PeriodName"]):
    """A day, week, month or year by its ISO 8601 name."""

    name = "day"
    example = "2025-03-14"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> PeriodName:
        return _parsed(value, param, None)


def _parsed(value: Any, param: click.Parameter | None, kind: PeriodKind | None) -> PeriodName:
    from journal import periods

    try:
        return periods.parse_name(value, kind)
    except UsageError as error:
        raise UsageError(f"{param.opts[0] if param else kind or 'day'}: {error}") from None


class DateRangeParam(click.ParamType[DaysAsked]):
    """Two days, "FROM..TO", both included; the name of a week, month or year will do as well."""

    name = "FROM..TO"
    example = "2025-02-01..2025-02-28"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> DaysAsked:
        from journal import periods

        first, dots, last = value.partition("..")
        option = param.opts[0] if param else "stretch"
        try:
            if dots:
                start, end = (periods.parse_name(day, "day") for day in (first, last))
            else:
                start = end = periods.parse_name(value)
        except UsageError:
            raise UsageError(f'{option}: "{value}" is no stretch of days; write e.g. "{self.example}"') from None
        if not dots and start.kind == "day":
            raise UsageError(f'{option}: "{value}" is one day alone; write e.g. "{self.example}"')
        if start.inside > end.inside:
            raise UsageError(f'{option}: {first} is after {last}; write the earlier day first, "{last}..{first}"')
        return DaysAsked(start, end)


class Year(click.ParamType["Period"]):
    """A year by its number."""

    name = "year"
    example = "2025"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Period:
        from journal import periods

        return periods.year(_parsed(value, param, "year").inside.year)


class Port(click.ParamType[int]):
    """A TCP port that needs no special rights to be listened on; 0 lets the system choose."""

    name = "port"
    example = "8420"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        text = str(value)
        if text.isascii() and text.isdigit() and (int(text) == 0 or 1024 <= int(text) <= 65535):
            return int(text)
        raise UsageError(f'--port: "{text}" is no port; write a whole number from 1024 to 65535')


class Number(click.ParamType[float]):
    """A number as it is written in a page."""

    name = "number"
    example = "4"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        option = param.opts[0] if param else "number"
        try:
            found = float(value)
        except ValueError:
            found = math.nan
        if not math.isfinite(found):
            raise UsageError(f'{option}: "{value}" is no number; write e.g. "{self.example}"')
        return found


class ChoiceParam(click.ParamType[str]):
    """One of a few words; `thing` names what they are. Without words, what goes is for the measure to say."""

    name = "word"

    def __init__(self, thing: str, words: Sequence[str], example: str = "") -> None:
        self.thing, self.words = thing, tuple(words)
        self.example = example or words[0]

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if value in self.words or not self.words:
            return str(value)
        raise UsageError(f'there is no {self.thing} "{value}"; {instead(str(value), self.words)}')

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:
        return self.thing.upper()


class Folder(click.ParamType[Path]):
    """A folder that is still to be made."""

    name = "folder"
    example = "my-journal"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        if not value:
            raise UsageError('the folder has no name; write e.g. "my-journal", or "." for the current one')
        return Path(value)


class PathParam(click.ParamType[Path]):
    """Where an export is to be put: a file or a folder, there or not."""

    name = "place"
    example = "../for-me"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        return _named(value, "--to: the place", self.example)


class Source(click.ParamType[Path]):
    """A file that is to be read; whether it is there and what it holds is seen when it is read."""

    name = "file"

    def __init__(self, example: str) -> None:
        self.example = example

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        return _named(value, "the file", self.example)


def _named(value: Any, thing: str, example: str) -> Path:
    """A path as it was typed. Raises UsageError where nothing can be called so."""
    if not value or "\0" in str(value):
        raise UsageError(f'{thing} has no name; write e.g. "{example}"')
    return Path(value).expanduser()


def journal_folder(given: str | None, command: str = "check") -> Path:
    """The journal's folder: as given, else `$DUSKBOOK_FOLDER`, else the current one when it is a journal.

    Raises FolderError, with the remedy, where that is no folder or holds no journal.toml.
    """
    if given is None:
        named = os.environ.get("DUSKBOOK_FOLDER", "")
        if not named and not Path(SETTINGS_FILE).is_file():
            raise FolderError(
                f"no folder was named and this one holds no {SETTINGS_FILE}; "
                f'write e.g. "duskbook {command} my-journal", or set DUSKBOOK_FOLDER'
            )
        return _checked(Path(named).expanduser() if named else Path(), "DUSKBOOK_FOLDER: " if named else "")
    if not given:  # as a shell gives a variable that is not set
        raise FolderError(f'the folder has no name; write e.g. "duskbook {command} my-journal"')
    return _checked(Path(given), "")


def _checked(folder: Path, origin: str) -> Path:
    try:
        if (folder / SETTINGS_FILE).exists():
            return folder
        if folder.is_dir():
            next(folder.iterdir(), None)  # tells where the folder may not be read
            raise FolderError(
                f'{origin}folder "{folder}" holds no {SETTINGS_FILE}; name a folder that does, '
                f'or make it a journal with "duskbook start {folder}"'
            )
        if folder.exists():
            raise FolderError(
                f'{origin}"{folder}" is a file; name the folder that holds {SETTINGS_FILE}, "{folder.parent}"'
            )
    except (OSError, ValueError) as error:  # no right to look, a name too long, a NUL byte
        reason = getattr(error, "strerror", None) or str(error)
        raise FolderError(f'{origin}folder "{folder}" cannot be read ({reason}); name another') from None
    raise FolderError(f'{origin}there is no folder "{folder}"; {_neighbour(folder)}')


def _neighbour(folder: Path) -> str:
    """The journal beside a folder that does not exist, where its name is like it."""
    try:
        beside = [f.name for f in folder.parent.iterdir() if (f / SETTINGS_FILE).is_file()]
    except OSError:
        beside = []
    close = difflib.get_close_matches(folder.name, beside, n=1)
    if close:
        return f'did you mean "{folder.parent / close[0]}"?'
    return f'make a journal there with "duskbook start {folder}"'
