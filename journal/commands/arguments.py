"""Types of command line arguments: folders, days, ranges of days, ports.

Each is a click type. `convert` raises UsageError with one line that names the mistake and the remedy; `example` is the
value that the remedy shows.
"""

from __future__ import annotations

import datetime as dt
import math
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from journal.commands import shell_completion
from journal.commands.show_catalogue import FORMATS
from journal.commands.usage_errors import suggestion
from journal.errors import FolderError, UsageError
from journal.wording import typed_numbers

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from journal.commands.export_place import ExportPlace
    from journal.commands.shell_completion import Complete
    from journal.periods import Period, PeriodKind, PeriodName
    from journal.settings import Weekday

SETTINGS_FILE = "journal.toml"

DateRange = tuple[dt.date, dt.date]
"""The first and the last day of a range, both included."""


class DaysAsked(NamedTuple):
    """A range of days as typed. The days of a week depend on the journal's `week_starts`, which is read later."""

    first: PeriodName
    last: PeriodName

    def days(self, *, week_starts: Weekday) -> DateRange:
        """The first and the last day, for weeks that start on `week_starts`."""
        return self.first.period(week_starts=week_starts).first, self.last.period(week_starts=week_starts).last


class _Completed:
    """What a type adds to click's: how a shell completes it."""

    complete: Complete

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        return self.complete(ctx, param, incomplete)


class DayParam(_Completed, click.ParamType[dt.date]):
    """A date in ISO 8601 format."""

    name = "day"
    complete = staticmethod(shell_completion.days)
    example = "2025-03-14"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> dt.date:
        return _parsed(value, param, "day").inside


class PeriodParam(_Completed, click.ParamType["PeriodName"]):
    """A day, week, month or year by its ISO 8601 name."""

    name = "day"
    complete = staticmethod(shell_completion.periods)
    example = "2025-03-14"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> PeriodName:
        return _parsed(value, param, None)


def _parsed(value: Any, param: click.Parameter | None, kind: PeriodKind | None) -> PeriodName:
    from journal import periods
    from journal.folder.discover import EARLIEST_YEAR, LATEST_YEAR

    option = param.opts[0] if param else kind or "day"
    try:
        name = periods.parse_name(value, kind)
    except UsageError as error:
        raise UsageError(f"{option}: {error}") from None
    if not EARLIEST_YEAR <= name.inside.year <= LATEST_YEAR:  # no page can be of it
        raise UsageError(f'{option}: "{value}" is too far; write a year from {EARLIEST_YEAR} to {LATEST_YEAR}')
    return name


class DateRangeParam(_Completed, click.ParamType[DaysAsked]):
    """Two days, "FROM..TO", both included, or the name of a week, month or year."""

    name = "FROM..TO"
    complete = staticmethod(shell_completion.ranges)
    example = "2025-02-01..2025-02-28"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> DaysAsked:
        first, dots, last = value.partition("..")
        option = param.opts[0] if param else "days"
        try:
            if dots:
                start, end = (_parsed(day, None, "day") for day in (first, last))
            else:
                start = end = _parsed(value, None, None)
        except UsageError:
            raise UsageError(f'{option}: "{value}" is not a range of days; write e.g. "{self.example}"') from None
        if not dots and start.kind == "day":
            raise UsageError(f'{option}: "{value}" is only one day; write e.g. "{self.example}"')
        if start.inside > end.inside:
            raise UsageError(f'{option}: {first} is after {last}; write the earlier day first, "{last}..{first}"')
        return DaysAsked(start, end)


class Year(_Completed, click.ParamType["Period"]):
    """A year by its number."""

    name = "year"
    complete = staticmethod(shell_completion.years)
    example = "2025"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Period:
        from journal import periods

        return periods.year(_parsed(value, param, "year").inside.year)


class Port(click.ParamType[int]):
    """A TCP port that needs no special rights. With 0 the system chooses one."""

    name = "port"
    example = "8420"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        text = str(value)
        if text.isascii() and text.isdigit() and (int(text) == 0 or 1024 <= int(text) <= 65535):
            return int(text)
        raise UsageError(f'--port: "{text}" is not a port; write a whole number from 1024 to 65535')


class Number(click.ParamType[float]):
    """A finite number, typed with a point or a comma."""

    name = "number"
    example = "4"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        option = param.opts[0] if param else "number"
        try:
            number = typed_numbers.read(str(value))
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            raise UsageError(f'{option}: "{value}" is not a number; write e.g. "{self.example}"')
        return number


class ChoiceParam(click.ParamType[str]):
    """One of a few words; `noun` names them in messages. Without words any text passes: the command checks it later."""

    name = "word"

    def __init__(self, noun: str, words: Sequence[str], example: str = "") -> None:
        self.noun, self.words = noun, tuple(words)
        self.example = example or words[0]

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if value in self.words or not self.words:
            return str(value)
        raise UsageError(f'there is no {self.noun} "{value}"; {suggestion(str(value), self.words)}')

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:
        return self.noun.upper()

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        return shell_completion.words(self.words, incomplete)


class Folder(_Completed, click.ParamType[Path]):
    """A folder to create."""

    name = "folder"
    complete = staticmethod(shell_completion.folders)
    example = "my-journal"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        if not value:
            raise UsageError('the folder has no name; write e.g. "my-journal", or "." for the current one')
        return Path(value)


class PathParam(_Completed, click.ParamType["ExportPlace"]):
    """A file or folder to write an export to. It need not exist."""

    name = "place"
    complete = staticmethod(shell_completion.files)
    example = "../for-me"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> ExportPlace:
        from journal.commands.export_place import ExportPlace

        _path(value, "--to: the place", self.example)
        return ExportPlace.typed(value)


class Source(_Completed, click.ParamType[Path]):
    """A file to read. Whether it exists is checked when it is read."""

    name = "file"
    complete = staticmethod(shell_completion.files)

    def __init__(self, example: str) -> None:
        self.example = example

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        return _path(value, "the file", self.example)


def _path(value: Any, subject: str, example: str) -> Path:
    """The typed path. Raises UsageError if no file can have this name."""
    if not value or "\0" in str(value):
        raise UsageError(f'{subject} has no name; write e.g. "{example}"')
    return Path(value).expanduser()


def journal_folder(given: str | None, command: str = "check") -> Path:
    """The folder of the journal: the given one, else `$DUSKBOOK_FOLDER`, else the current folder if it is a journal.

    Raises FolderError with a remedy if it is not a folder or has no journal.toml.
    """
    if given is None:
        variable = os.environ.get("DUSKBOOK_FOLDER", "")
        if not variable and not Path(SETTINGS_FILE).is_file():
            raise FolderError(
                f"no folder was given and the current one has no {SETTINGS_FILE}; "
                f'write e.g. "duskbook {command} my-journal", or set DUSKBOOK_FOLDER'
            )
        return _checked(Path(variable).expanduser() if variable else Path(), "DUSKBOOK_FOLDER: " if variable else "")
    if not given:  # a shell passes "" for an unset variable in quotes
        raise FolderError(f'the folder has no name; write e.g. "duskbook {command} my-journal"')
    return _checked(Path(given), "")


def _checked(folder: Path, origin: str) -> Path:
    try:
        if (folder / SETTINGS_FILE).exists():
            return folder
        if folder.is_dir():
            next(folder.iterdir(), None)  # raises PermissionError if the folder cannot be read
            raise FolderError(
                f'{origin}folder "{folder}" has no {SETTINGS_FILE}; name a folder that does, '
                f'or make it a journal with "duskbook start {folder}"'
            )
        if folder.exists():
            raise FolderError(
                f'{origin}"{folder}" is a file; name the folder that holds {SETTINGS_FILE}, "{folder.parent}"'
            )
    except (OSError, ValueError) as error:  # no permission, a name too long, a NUL byte
        reason = getattr(error, "strerror", None) or str(error)
        raise FolderError(f'{origin}folder "{folder}" cannot be read ({reason}); name another') from None
    raise FolderError(f'{origin}there is no folder "{folder}"; {_remedy(folder)}')


def _remedy(folder: Path) -> str:
    """The remedy for a folder that does not exist: a journal beside it with a similar name, or `duskbook start`."""
    try:
        journals = [f.name for f in folder.parent.iterdir() if (f / SETTINGS_FILE).is_file()]
    except OSError:
        journals = []
    import difflib

    close = difflib.get_close_matches(folder.name, journals, n=1)
    if close:
        return f'did you mean "{folder.parent / close[0]}"?'
    return f'make a journal there with "duskbook start {folder}"'


journal_argument = click.argument("folder", required=False, shell_complete=shell_completion.folders)
"""The journal of a command. `journal_folder` finds it where it is left out."""

frame_format = click.option(
    "--format",
    "form",
    type=ChoiceParam("format", FORMATS),
    default="table",
    help="table, json or csv.  [default: table]",
)
"""The option of a command that prints rows (`journal.commands.print_frame`)."""
