"""What `duskbook log` answers: the values that it wrote, and the streaks of the marked habits."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal.commands.field_options import LOGGED
from journal.errors import FolderError
from journal.fields import Field
from journal.folder.opened_files import OpenedFiles
from journal.language.catalogue import _, _n
from journal.settings import Settings
from journal.wording import habits, numbers

if TYPE_CHECKING:
    from journal.commands.log import Given
    from journal.entry import Mark
    from journal.measures.running_streak import RunningStreak


_MOST_PAGES = 1_000
"""Pages that are read one by one for the streaks of an answer, at about 50 microseconds each. Opening the journal takes
longer than these, and less than many more."""


def streaks_of(files: OpenedFiles, day: dt.date, marks: Mapping[str, object]) -> dict[str, RunningStreak]:
    """The streak of each marked habit as of the day, read from the saved files."""
    if not marks:
        return {}
    from journal.folder.day_marks import MarkReader, TooManyDaysError  # noqa: PLC0415 (needed only for marks)
    from journal.measures import running_streak  # noqa: PLC0415

    again = files.again()
    try:
        settings = again.basis.settings
        reader = MarkReader(again.folder, again.basis.known, most=_MOST_PAGES, versions=again.pages)
        told = {habit: running_streak.running(settings, habit, day, reader.on) for habit in marks}
    except FolderError:
        return {}
    except (TooManyDaysError, NotImplementedError):
        return _streaks_of_all(again, day, marks)
    return {habit: streak for habit, streak in told.items() if streak is not None}


def _streaks_of_all(files: OpenedFiles, day: dt.date, marks: Mapping[str, object]) -> dict[str, RunningStreak]:
    """The streaks from the opened journal, for a long run and a rule that needs all of its days."""
    import polars as pl  # noqa: PLC0415 (takes a tenth of a second to import)

    import journal  # noqa: PLC0415
    from journal.measures import streaks  # noqa: PLC0415
    from journal.measures.running_streak import RunningStreak  # noqa: PLC0415

    try:
        book = journal.open(files.folder, today=day, files=files)
    except FolderError:
        return {}
    occasions = book.occasions.filter(pl.col("habit").is_in(list(marks)))
    counted = streaks.streaks(occasions, today=day, blank=book.settings.blank)
    return {
        row["habit"]: RunningStreak(row["unit"], row["current"], row["pending"])
        for row in counted.iter_rows(named=True)
    }


def parts(
    given: Given,
    marks: Mapping[str, Mark],
    settings: Settings,
    day: dt.date,
    streaks: Mapping[str, RunningStreak],
) -> list[str]:
    """The parts of the answer: each given value, a mark with its streak of `streaks_of`."""
    told = [_field_words(field, given.fields[field.name]) for field in LOGGED if field.name in given.fields]
    for key, mark in marks.items():
        streak = _streak_words(mark, streaks.get(key))
        told.append(_mark_words(key, mark, settings, day) + (f" ({streak})" if streak else ""))
    told += [_tick_words(*text.partition("=")) for text in given.challenges]
    if given.gratitude:
        told.append(_n("{count} gratitude line", "{count} gratitude lines", len(given.gratitude)))
    if given.notes:
        told.append(_n("{count} note", "{count} notes", len(given.notes)))
    told += [_("a memory")] if given.memory is not None else []
    if given.share is not None:
        told.append(_("a friend may read the memory") if given.share else _("the memory is yours alone"))
    return told


def _field_words(field: Field, value: float | str) -> str:
    label = _(field.label)
    name = field.name.replace("_", " ") if label == field.label else numbers.in_sentence(label)
    return f"{name} {value.strip() if isinstance(value, str) else numbers.number(value, 2)}"


def _mark_words(key: str, mark: Mark, settings: Settings, day: dt.date) -> str:
    if mark is True:
        return _("{habit} done", habit=key)
    if mark is False:
        return _("{habit} not done", habit=key)
    if mark == "rest":
        return _("{habit} rests", habit=key)
    habit = settings.habit_on(key, day)
    return f"{key} {numbers.number(float(mark), 2)} {habit.unit if habit else ''}".strip()


def _tick_words(key: str, equals: str, value: str) -> str:
    if value[:1].isdigit():
        return _("challenge {key} caught up on {day}", key=key, day=value)
    return _("challenge {key} {mark}", key=key, mark=value) if equals else _("challenge {key}", key=key)


def _streak_words(mark: Mark, streak: RunningStreak | None) -> str:
    """The running streak. Its ordinal ("8th in a row") is given only for a mark that counts in it."""
    if streak is None:
        return ""
    if not streak.current:
        return _("no streak running")
    if mark == "rest" or mark is False:
        return _kept(streak)
    if streak.unit == "occasion":
        return habits.in_a_row(streak.current) if streak.current > 1 else ""
    return habits.running_streak(streak.row)


def _kept(streak: RunningStreak) -> str:
    """That a rest or a day that is not done left the streak as it was."""
    if streak.unit == "occasion":
        return _("streak of {count} kept", count=streak.current)
    if streak.unit == "week":
        return _n("streak of {count} week kept", "streak of {count} weeks kept", streak.current)
    return _n("streak of {count} month kept", "streak of {count} months kept", streak.current)
