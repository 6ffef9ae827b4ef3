"""`duskbook show streaks` from what is kept in `.cache/days`, in a fraction of the time that opening the journal takes.

Nothing here imports a library, nor `pathlib`, which takes as long as the look at 1,500 files. A command line of any
other form, a journal that is not kept, and one that changed too much are left to `journal.cli`, with the same output.
"""

from __future__ import annotations

import datetime as dt
import os
import sys
import time
from collections.abc import Sequence
from typing import NamedTuple

from journal import home_day
from journal.commands import kept_streaks, print_rows, terminal
from journal.folder import folder_state, kept_days
from journal.folder.kept_days import KeptDays
from journal.measures.plain_streaks import StreakRow, streak_rows

_OPTIONS = ("--today", "--format")
_FORMATS = ("table", "json", "csv")
_YEARS = range(1583, 3000)
"""As `folder.file_names` has them, which needs libraries."""


class StreaksAsked(NamedTuple):
    """A command line: the folder, the day to count as of, None for today, and the form of the output."""

    folder: str
    today: dt.date | None
    form: str


class StreaksTold(NamedTuple):
    """What is printed: on standard output, and on standard error."""

    text: str
    note: str


def asked(arguments: Sequence[str]) -> StreaksAsked | None:
    """Return what a command line asks for, if it is the usual one. All others, and wrong ones, are for `journal.cli`.

    >>> asked(["show", "streaks", "--from", "2025-03-01"]), asked(["show", "rates"])
    (None, None)
    """
    if not arguments or arguments[0] != "show":
        return None
    words, values = [], dict[str, str]()
    rest = iter(arguments[1:])
    for argument in rest:
        if not argument.startswith("-"):
            words.append(argument)
            continue
        option, equals, value = argument.partition("=")
        if option not in _OPTIONS or option in values:
            return None
        values[option] = value if equals else next(rest, "")
    if len(words) not in (1, 2) or words[0] != "streaks" or values.get("--format", "table") not in _FORMATS:
        return None
    folder = _folder(words[1:])
    today = _day(values["--today"]) if "--today" in values else None
    if folder is None or ("--today" in values and today is None):
        return None
    return StreaksAsked(folder, today, values.get("--format", "table"))


def _folder(given: Sequence[str]) -> str | None:
    name = given[0] if given else os.environ.get("DUSKBOOK_FOLDER", "")
    if given and not name:
        return None
    folder = name if given else os.path.expanduser(name) or os.curdir  # noqa: PTH111 (without pathlib)
    return folder if os.path.isfile(f"{folder}/journal.toml") else None  # noqa: PTH113 (without pathlib)


def _day(text: str) -> dt.date | None:
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        return None
    return day if str(day) == text and day.year in _YEARS else None


def told(request: StreaksAsked, now: dt.datetime) -> StreaksTold | None:
    """Return what to print, None if the journal has to be opened for it."""
    stamp = kept_days.stamp()
    kept = kept_days.load(request.folder, stamp)
    if kept is None:
        return None
    try:
        return _told(request, kept, now, stamp)
    except (OSError, LookupError, TypeError, ValueError, OverflowError, AttributeError):
        # The folder vanished, or what is kept is foreign. Opening the journal tells.
        return None


def _told(request: StreaksAsked, kept: KeptDays, now: dt.datetime, stamp: str) -> StreaksTold | None:
    folder, begun_ns = request.folder, time.monotonic_ns()
    with open(f"{folder}/journal.toml", "rb") as file:  # noqa: PTH123 (without pathlib)
        if file.read(len(kept.texts["settings"]) + 1) != kept.texts["settings"]:
            return None
    state = folder_state.seen(folder)
    outdated = kept_days.outdated(kept, state)
    if outdated:
        from journal.commands import changed_days

        changed = changed_days.read_again(folder, kept, outdated, state, stamp)
        if changed is None:
            return None
        kept, has_read = changed
        if has_read:  # else it is told as quickly the next time
            kept_days.save(folder, kept, stamp, since_walk_ns=time.monotonic_ns() - begun_ns)
    if _has_rest_of_a_save(folder):
        return None
    facts = kept.facts
    today = request.today or home_day.at(now, facts["timezone"], facts["turns"])
    if not kept_streaks.holds(facts, today):
        return None
    rows = streak_rows(kept_streaks.habits_of(kept), today, bridges=facts["bridges"], week_start=facts["week_start"])
    return _said(rows, request, sum(facts["problems"].values()), facts["language"])


def _said(rows: Sequence[StreakRow], request: StreaksAsked, problems: int, code: str) -> StreaksTold | None:
    """What to print, in the language of the journal, as `cli.show` prints it. Only English needs no catalogue."""
    if code == "en" and not problems:
        text = print_rows.as_text(rows, request.form, StreakRow._fields)
        return None if text is None else StreaksTold(text, "")
    from pathlib import Path

    from journal.commands import problem_counts, table_words
    from journal.language.languages import LANGUAGES
    from journal.language.spoken import speaking

    with speaking(LANGUAGES[code]):
        text = print_rows.as_text(rows, request.form, StreakRow._fields, table_words.WORDS)
        note = problem_counts.in_journal(problems, Path(request.folder)) if problems else ""
    return None if text is None else StreaksTold(text, note)


def _has_rest_of_a_save(folder: str) -> bool:
    """Whether an interrupted save may have left something, which is a problem of the journal (`save_record`)."""
    try:
        return any(name.startswith("unfinished") for name in os.listdir(f"{folder}/.history"))  # noqa: PTH208
    except FileNotFoundError:
        return False


def run(arguments: Sequence[str]) -> int | None:
    """Run a command line, if it is one that is answered here. Returns the exit code, None if it is not."""
    request = asked(arguments)
    answer = None if request is None else told(request, dt.datetime.now().astimezone())
    if answer is None:
        return None
    terminal.guard()
    terminal.escape_unencodable()
    try:
        terminal.print_data(answer.text)
        if answer.note:
            sys.stderr.write(f"{terminal.one_line(answer.note)}\n")
        sys.stdout.flush()
    except BrokenPipeError:
        terminal.discard_output()
        return terminal.UNREAD
    return 0
