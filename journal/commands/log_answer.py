"""What `duskbook log` answers: the values that it wrote, and the streaks of the marked habits."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from journal.commands.field_options import LOGGED
from journal.errors import FolderError
from journal.fields import Field
from journal.folder.opened_files import OpenedFiles
from journal.settings import Settings
from journal.wording import habits, numbers

if TYPE_CHECKING:
    from journal.commands.log import Given
    from journal.entry import Mark


def streaks_of(files: OpenedFiles, day: dt.date, marks: Mapping[str, object]) -> dict[str, dict[str, Any]]:
    """The streak of each marked habit as of the day, read from the saved files."""
    if not marks:
        return {}
    import polars as pl  # noqa: PLC0415 (needed only for marks; takes a tenth of a second to import)

    import journal  # noqa: PLC0415
    from journal.measures import streaks  # noqa: PLC0415

    try:
        book = journal.open(files.folder, today=day, files=files)
    except FolderError:
        return {}
    occasions = book.occasions.filter(pl.col("habit").is_in(list(marks)))
    counted = streaks.streaks(occasions, today=day, blank=book.settings.blank)
    return {row["habit"]: row for row in counted.iter_rows(named=True)}


def parts(
    given: Given,
    marks: Mapping[str, Mark],
    settings: Settings,
    day: dt.date,
    streaks: Mapping[str, dict[str, Any]],
) -> list[str]:
    """The parts of the answer: each given value, a mark with its streak of `streaks_of`."""
    told = [_field_words(field, given.fields[field.name]) for field in LOGGED if field.name in given.fields]
    told += [
        f"{key} {_mark_words(key, mark, settings, day)}{_streak_words(mark, streaks.get(key))}"
        for key, mark in marks.items()
    ]
    told += [f"challenge {_tick_words(*text.partition('='))}" for text in given.challenges]
    for noun, lines in (("gratitude line", given.gratitude), ("note", given.notes)):
        told += [numbers.plural(len(lines), noun)] if lines else []
    told += ["a memory"] if given.memory is not None else []
    if given.share is not None:
        told.append("a friend may read the memory" if given.share else "the memory is yours alone")
    return told


def _field_words(field: Field, value: float | str) -> str:
    return f"{field.name.replace('_', ' ')} {value.strip() if isinstance(value, str) else numbers.number(value, 2)}"


def _mark_words(key: str, mark: Mark, settings: Settings, day: dt.date) -> str:
    if mark is True:
        return "done"
    if mark is False:
        return "not done"
    if mark == "rest":
        return "rests"
    habit = settings.habit_on(key, day)
    return f"{numbers.number(float(mark), 2)} {habit.unit if habit else ''}".strip()


def _tick_words(key: str, equals: str, value: str) -> str:
    return f"{key} caught up on {value}" if value[:1].isdigit() else f"{key}{equals and ' '}{value}"


def _streak_words(mark: Mark, row: dict[str, Any] | None) -> str:
    """The running streak in brackets. Its ordinal ("8th in a row") is given only for a mark that counts in it."""
    if row is None:
        return ""
    if not row["current"]:
        return " (no streak running)"
    if mark == "rest" or mark is False:
        length = row["current"] if row["unit"] == "occasion" else numbers.plural(row["current"], row["unit"])
        return f" (streak of {length} kept)"
    if row["unit"] == "occasion":
        return f" ({habits.in_a_row(row['current'])})" if row["current"] > 1 else ""
    return f" ({habits.running_streak(row)})"
