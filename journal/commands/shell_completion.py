"""What a shell completes behind a command: names of the journal, its days and periods, words, files and folders.

Each function is one of click's: (context, parameter, the word so far) to items. Nothing is written, nothing is printed,
and where the journal cannot be read nothing is offered.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

import click
from click.shell_completion import CompletionItem

from journal.commands.terminal import one_line
from journal.errors import JournalError
from journal.language.catalogue import _

if TYPE_CHECKING:
    from journal.folder.reading import Basis
    from journal.settings import Settings

Complete = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]

MOST_DAYS = 366
"""Days offered at once, the newest. A shell asks before it lists more than about a hundred."""

# A shell reads what is completed: a name with a space, a quote or a "$" would be more than one word, or a command.
_PLAIN = re.compile(r"[\w.+-]+")


def folders(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Any folder: the shell completes its name."""
    return [CompletionItem(begun, type="dir")]


def files(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Any file or folder: the shell completes its name."""
    return [CompletionItem(begun, type="file")]


def named(offered: Callable[[Settings], Mapping[str, str]]) -> Complete:
    """Names of the journal, each with its meaning. `offered` takes them from the settings."""

    def complete(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
        basis = _basis(context)
        return [] if basis is None else _items(offered(basis.settings), begun)

    return complete


habits = named(lambda settings: {key: settings.habit_name(key) for key in settings.habit_keys})
challenges = named(lambda settings: {challenge.key: challenge.name for challenge in settings.challenges})
categories = named(lambda settings: {category.key: category.name for category in settings.categories})
trials = named(lambda settings: {trial.key: trial.question for trial in settings.trials})
outcomes = named(
    lambda settings: (
        {"mood": "", "energy": "", "sleep": _("minutes of the night")}
        | {habit.key: habit.name for habit in settings.habits if habit.target is not None}
    )
)


def measure_periods(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """The periods of the measure that was typed; of all, without one."""
    from journal.commands.show_catalogue import MEASURES  # noqa: PLC0415

    typed = MEASURES.get(_typed(context, "measure") or "")
    periods = typed.by if typed else dict.fromkeys(by for measure in MEASURES.values() for by in measure.by)
    return _items(dict.fromkeys(periods, ""), begun)


def pages(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """The pages of the journal by name."""
    return _items({"settings": "journal.toml", "undated": _("tasks without a day")}, begun) + periods(
        context, parameter, begun
    )


def days(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Today, yesterday, and the days with a page."""
    return _items(_recent() | _written(context, begun, ("day",)), begun)


def periods(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Today, yesterday, and every day, week, month and year with a page."""
    return _items(_recent() | _written(context, begun, ("year", "month", "week", "day")), begun)


def years(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """The years with a page."""
    return _items(_written(context, begun, ("year",)), begun)


def ranges(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """A week, month or year with a page; behind "FROM.." a day from then on."""
    first, dots, last = begun.partition("..")
    if not dots:
        return _items(_written(context, begun, ("year", "month", "week")), begun)
    later = [day for day in _recent() | _written(context, last, ("day",)) if day >= first]
    return _items({f"{first}..{day}": "" for day in later}, begun)


def words(offered: Iterable[str], begun: str) -> list[CompletionItem]:
    """Words of a fixed list."""
    return _items(dict.fromkeys(offered, ""), begun)


def _items(offered: Mapping[str, str], begun: str) -> list[CompletionItem]:
    """The items that continue a word. Names that a shell would read as more than a word are left out."""
    return [
        CompletionItem(name, help=one_line(meaning) if meaning and meaning != name else None)
        for name, meaning in offered.items()
        if name.startswith(begun) and _PLAIN.fullmatch(name)
    ]


def _typed(context: click.Context, name: str) -> str | None:
    """The value of an argument that was typed. Behind an option without its value, click has not given them out yet."""
    arguments = [one.name for one in context.command.params if isinstance(one, click.Argument)]
    rest = dict(zip(arguments, context.args, strict=False))
    value = context.params.get(name) or rest.get(name)
    return None if value is None else str(value)


def _basis(context: click.Context) -> Basis | None:
    from journal.commands.arguments import journal_folder  # noqa: PLC0415
    from journal.folder import reading  # noqa: PLC0415

    try:
        return reading.read_settings(journal_folder(_typed(context, "folder")))
    except (JournalError, OSError):
        return None


def _recent() -> dict[str, str]:
    import datetime as dt  # noqa: PLC0415

    from journal.commands import clock  # noqa: PLC0415

    today = clock.now().date()
    return {today.isoformat(): _("today"), (today - dt.timedelta(days=1)).isoformat(): _("yesterday")}


def _written(context: click.Context, begun: str, kinds: tuple[str, ...]) -> dict[str, str]:
    """The periods of some kinds that hold a page of the journal, the newest first."""
    from journal.commands.arguments import journal_folder  # noqa: PLC0415
    from journal.folder import discover  # noqa: PLC0415

    try:
        found = discover.find(journal_folder(_typed(context, "folder"))).pages
    except (JournalError, OSError):
        return {}
    keys: dict[str, dict[str, None]] = {kind: {} for kind in kinds}
    for page in sorted(found, key=lambda page: page.key, reverse=True):
        around = {page.kind: page.key, "year": page.key[:4]}
        if page.kind == "day":
            around["month"] = page.key[:7]
        for kind, key in around.items():
            if kind in keys and key.startswith(begun):
                keys[kind][key] = None
    if "day" in keys:
        keys["day"] = dict.fromkeys(list(keys["day"])[:MOST_DAYS])
    return {key: "" for kind in kinds for key in keys[kind]}
