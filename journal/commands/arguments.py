"""Types of command line arguments: days, ranges of days, words, and the journal.

Numbers are in `number_arguments`, paths in `path_arguments`. Each is a click type. `convert` raises
UsageError with one line that names the mistake and the remedy; `example` is the value that the remedy shows.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import click

from journal.commands import shell_completion
from journal.commands.show_catalogue import FORMATS
from journal.commands.usage_errors import nearest, suggestion
from journal.errors import FolderError, UsageError
from journal.language.catalogue import N_, _

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from journal.commands.shell_completion import Complete
    from journal.periods import Period, PeriodKind, PeriodName
    from journal.settings import Weekday

SETTINGS_FILE = "journal.toml"

ChoiceNoun = Literal[
    "measure", "period", "format", "reader", "paper", "sheet", "kind", "order of dates", "side", "page"
]
"""What the words of an argument are."""

_NO_SUCH: dict[ChoiceNoun, str] = {
    "measure": N_('there is no measure "{value}"; {remedy}'),
    "period": N_('there is no period "{value}"; {remedy}'),
    "format": N_('there is no format "{value}"; {remedy}'),
    "reader": N_('there is no reader "{value}"; {remedy}'),
    "paper": N_('there is no paper "{value}"; {remedy}'),
    "sheet": N_('there is no sheet "{value}"; {remedy}'),
    "kind": N_('there is no kind "{value}"; {remedy}'),
    "order of dates": N_('there is no order of dates "{value}"; {remedy}'),
    "side": N_('there is no side "{value}"; {remedy}'),
    "page": N_('there is no page "{value}"; {remedy}'),
}

DateRange = tuple[dt.date, dt.date]
"""The first and the last day of a range, both included."""


class DaysAsked(NamedTuple):
    """A range of days as typed. The days of a week depend on the journal's `week_starts`, which is read later."""

    first: PeriodName
    last: PeriodName

    def days(self, *, week_starts: Weekday) -> DateRange:
        """The first and the last day, for weeks that start on `week_starts`."""
        return self.first.period(week_starts=week_starts).first, self.last.period(week_starts=week_starts).last


class Completed:
    """What a type adds to click's: how a shell completes it."""

    complete: Complete

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        return self.complete(ctx, param, incomplete)


class DayParam(Completed, click.ParamType[dt.date]):
    """A date in ISO 8601 format."""

    name = "day"
    complete = staticmethod(shell_completion.days)
    example = "2025-03-14"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> dt.date:
        return _parsed(value, param, "day").inside


class PeriodParam(Completed, click.ParamType["PeriodName"]):
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
        raise UsageError(
            _(
                '{option}: "{value}" is too far; write a year from {first} to {last}',
                option=option,
                value=value,
                first=EARLIEST_YEAR,
                last=LATEST_YEAR,
            )
        )
    return name


class DateRangeParam(Completed, click.ParamType[DaysAsked]):
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
            text = _('{option}: "{value}" is not a range of days; write e.g. "{example}"')
            raise UsageError(text.format(option=option, value=value, example=self.example)) from None
        if not dots and start.kind == "day":
            text = _('{option}: "{value}" is only one day; write e.g. "{example}"')
            raise UsageError(text.format(option=option, value=value, example=self.example))
        if start.inside > end.inside:
            text = _('{option}: {first} is after {last}; write the earlier day first, "{last}..{first}"')
            raise UsageError(text.format(option=option, first=first, last=last))
        return DaysAsked(start, end)


class Year(Completed, click.ParamType["Period"]):
    """A year by its number."""

    name = "year"
    complete = staticmethod(shell_completion.years)
    example = "2025"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Period:
        from journal import periods

        return periods.year(_parsed(value, param, "year").inside.year)


class ChoiceParam(click.ParamType[str]):
    """One of a few words; `noun` says what they are. Without words any text passes: the command checks it later."""

    name = "word"

    def __init__(self, noun: ChoiceNoun, words: Sequence[str], example: str = "") -> None:
        self.noun, self.words = noun, tuple(words)
        self.example = example or words[0]

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        if value in self.words or not self.words:
            return str(value)
        remedy = suggestion(str(value), self.words)
        raise UsageError(_(_NO_SUCH[self.noun], value=value, remedy=remedy))

    def get_metavar(self, param: click.Parameter, ctx: click.Context) -> str:
        return self.noun.upper()

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        return shell_completion.words(self.words, incomplete)


def journal_folder(given: str | None, command: str = "check") -> Path:
    """The folder of the journal: the given one, else `$DUSKBOOK_FOLDER`, else the current folder if it is a journal.

    Raises FolderError with a remedy if it is not a folder or has no journal.toml.
    """
    if given is None:
        variable = os.environ.get("DUSKBOOK_FOLDER", "")
        if not variable and not Path(SETTINGS_FILE).is_file():
            raise FolderError(
                _(
                    'no folder was given and the current one has no journal.toml; write e.g. "duskbook {command} '
                    'my-journal", or set DUSKBOOK_FOLDER',
                    command=command,
                )
            )
        return _checked(Path(variable).expanduser() if variable else Path(), "DUSKBOOK_FOLDER: " if variable else "")
    if not given:  # a shell passes "" for an unset variable in quotes
        raise FolderError(_('the folder has no name; write e.g. "duskbook {command} my-journal"', command=command))
    return _checked(Path(given), "")


def _checked(folder: Path, origin: str) -> Path:
    """The folder. Raises FolderError, which begins with the origin, if it is no journal."""
    try:
        if (folder / SETTINGS_FILE).exists():
            return folder
        if folder.is_dir():
            next(folder.iterdir(), None)  # raises PermissionError if the folder cannot be read
            text = _(
                'folder "{folder}" has no journal.toml; name a folder that does, '
                'or make it a journal with "duskbook start {folder}"',
                folder=folder,
            )
        elif folder.exists():
            text = _(
                '"{folder}" is a file; name the folder that holds journal.toml, "{parent}"',
                folder=folder,
                parent=folder.parent,
            )
        else:
            text = _no_folder(folder)
    except (OSError, ValueError) as error:  # no permission, a name too long, a NUL byte
        reason = getattr(error, "strerror", None) or str(error)
        text = _('folder "{folder}" cannot be read ({reason}); name another', folder=folder, reason=reason)
    raise FolderError(f"{origin}{text}")


def _no_folder(folder: Path) -> str:
    """What to do about a folder that does not exist: a journal beside it with a similar name, or `duskbook start`."""
    try:
        journals = [f.name for f in folder.parent.iterdir() if (f / SETTINGS_FILE).is_file()]
    except OSError:
        journals = []
    if close := nearest(folder.name, journals):
        return _('there is no folder "{folder}"; did you mean "{close}"?', folder=folder, close=folder.parent / close)
    return _('there is no folder "{folder}"; make a journal there with "duskbook start {folder}"', folder=folder)


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
