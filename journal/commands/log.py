"""The work of `duskbook log`: write the given values to the page of a day, and answer in one line.

All other bytes of the page stay. A mark or number that the page has already is replaced. Text that the page has already
is not: it could not be restored.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from journal.commands import log_answer, log_hours, log_pictures, log_tasks, page_readings
from journal.commands.field_options import LOGGED, option_name
from journal.commands.habit_names import key_and_value
from journal.commands.open_journal import opened_to_write
from journal.commands.terminal import one_line
from journal.commands.usage_errors import suggestion
from journal.errors import UsageError, WriteError
from journal.fields import Field
from journal.folder import writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.three_way_merge import REMOVE
from journal.folder.writing import Base, Conflict, Saved
from journal.language.catalogue import _
from journal.settings import Habit, Settings
from journal.wording import numbers, typed_numbers

if TYPE_CHECKING:
    from journal.entry import Mark, Tick
    from journal.folder.reading import Basis
    from journal.pictures.new_picture import NewPicture

_MARKS_LOGGED = ("mood", "habits")
"""The keys of a page that make its day a logged one."""

YES, NO = ("yes", "true", "done"), ("no", "false")


class Given(msgspec.Struct, frozen=True, kw_only=True):
    """The typed values.

    `fields` maps names of fields to values. `habits` are texts like "walk", "read=24", "stretch=rest" or "walk=no",
    with the habit's key or name. `challenges` are texts like "letters" or "letters=no"; "letters=2025-03-16" is caught
    up on a later day. `tasks` and `added_tasks` are as in `log_tasks.changes`, `hours` as in `log_hours.changes`,
    `pictures` as in `log_pictures.read`.
    """

    fields: dict[str, float | str] = {}
    habits: tuple[str, ...] = ()
    challenges: tuple[str, ...] = ()
    gratitude: tuple[str, ...] = ()
    memory: str | None = None
    share: bool | None = None
    notes: tuple[str, ...] = ()
    tasks: tuple[str, ...] = ()
    added_tasks: tuple[str, ...] = ()
    hours: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()


def log(folder: Path, given: Given, day: dt.date | None, *, now: dt.datetime) -> str:
    """Write the given values to the page of a day, by default today's. Returns the answer to print.

    Raises UsageError for an unknown name or invalid value, WriteError if the page cannot be written.
    """
    files = OpenedFiles(folder)
    basis = opened_to_write(files, now)
    from journal import periods  # noqa: PLC0415

    today = periods.day_of(now, basis.settings)
    day = day or today
    if day > today:
        raise UsageError(_("--date {day} is still to come; log it on that day", day=day))
    base = files.pages.look(day.isoformat())
    values = base.values
    marks = dict(_mark(text, basis, day) for text in given.habits)
    changes: dict[tuple[str, ...], Any] = {("habits", key): mark for key, mark in marks.items()}
    ticks = dict(_tick(text, basis, day, today) for text in given.challenges)
    changes |= {("challenges", key): tick for key, tick in ticks.items()}
    for field in LOGGED:
        if field.name in given.fields:
            changes[field.path] = _field(field, given.fields[field.name], basis, values)
    changes |= _lines(given, values)
    task_changes, task_answers = log_tasks.changes(given.tasks, given.added_tasks, values, day)
    hour_changes, hour_answers = log_hours.changes(given.hours, values, basis.settings)
    changes |= {**task_changes, **hour_changes}
    if given.share is not None:
        changes["share",] = _share(given, values, base.path)
    pictures = log_pictures.read(given.pictures, day, basis.settings.pictures)
    if not (changes or task_answers or hour_answers or pictures):
        raise UsageError(_('there is nothing to log; write e.g. "duskbook log --mood 4 --habit walk"'))
    if given.memory is not None and given.share is None and values.get("share") is True:
        given = msgspec.structs.replace(given, share=True)  # the page has it already; the answer mentions it
    makes_logged = any(path[0] in _MARKS_LOGGED for path in changes)
    if makes_logged and not any(key in values for key in _MARKS_LOGGED):
        changes["asked",] = False  # no evening has asked for the other habits; the evening of the day removes it
    result, picture_answers = _saved(files, base, changes, pictures, now)
    if not result.written:
        return one_line(_("{page} has all of it already", page=base.path))
    page_readings.keep(files, result.base)
    parts = log_answer.parts(given, marks, basis.settings, day, log_answer.streaks_of(files, day, marks))
    parts += [*task_answers, *([_("hours: {hours}", hours="; ".join(hour_answers))] if hour_answers else [])]
    told = "; ".join([*parts, *picture_answers])
    return one_line(_("Saved to {page}: {told}", page=result.base.path, told=told))


def _saved(
    files: OpenedFiles,
    base: Base,
    changes: dict[tuple[str, ...], Any],
    pictures: list[NewPicture],
    now: dt.datetime,
) -> tuple[Saved, list[str]]:
    """Save the page, with the pictures copied beside it first. No new picture stays if it cannot be saved."""
    if not pictures:
        return _or_error(writing.save(files.folder, base.key, base, changes, now=now, by="log", files=files)), []
    from journal.pictures import new_picture  # noqa: PLC0415 (needed only with a picture)

    with new_picture.added(pictures, files, base) as added:
        named = changes | dict(added.changes)
        saved = _or_error(writing.save(files.folder, base.key, base, named, now=now, by="log", files=files))
    return saved, log_pictures.answers(added, files.basis.settings.pictures)


def _or_error(result: Saved | Conflict) -> Saved:
    """The saved page. Raises WriteError if it changed since it was read."""
    if isinstance(result, Conflict):
        raise WriteError(_('"{page}" was changed elsewhere just now; log it again', page=result.now.path))
    return result


def _mark(text: str, basis: Basis, day: dt.date) -> tuple[str, Mark]:
    """A habit's key and mark, e.g. of "read=24"."""
    try:
        key, value = key_and_value(text, basis.settings)
    except UsageError:
        _refuse_broken("habit", text, basis)
        raise
    habit = _habit(key, basis.settings, day)
    mark: Mark
    if value is None or value in YES:
        mark = True
    elif value in NO:
        mark = False
    elif value == "rest":
        mark = "rest"
    else:
        mark = _count(value, text, habit)
    if mark is True and habit.target is not None:
        text = _('--habit {key}: it is counted, so write how many times, e.g. "{key}={number}"')
        if habit.unit:
            text = _('--habit {key}: it is counted, so write how many {unit}, e.g. "{key}={number}"')
        raise UsageError(text.format(key=key, unit=habit.unit, number=numbers.number(habit.target)))
    return key, mark


def _refuse_broken(noun: str, text: str, basis: Basis) -> None:
    """Raise UsageError if a name that is not known may stand in a part of journal.toml that cannot be read."""
    if not basis.is_partial or getattr(basis.known, f"{noun}s") is not None:
        return
    name = text.partition("=")[0]
    inside = [place.problem for place in basis.broken if name in place.text] or list(basis.problems)
    text = _("{option}: it may stand in a part of journal.toml that cannot be read. {problem}")
    raise UsageError(text.format(option=f"--{noun} {name}", problem=inside[0]))


def _habit(key: str, settings: Settings, day: dt.date) -> Habit:
    habit = settings.habit_on(key, day)
    if habit is None:
        first, last = settings.definitions(key)[0].start, settings.definitions(key)[-1].until
        text = _('--habit {key}: it is kept from {first}, not on {day}; change "from" or "until" in journal.toml')
        if last:
            text = _(
                "--habit {key}: it is kept from {first} to {last}, not on {day}; "
                'change "from" or "until" in journal.toml'
            )
        raise UsageError(text.format(key=key, first=first, last=last, day=day))
    return habit


def _count(value: str, text: str, habit: Habit) -> float:
    try:
        count = typed_numbers.read(value)
    except ValueError:
        count = -1.0
    if habit.target is None:
        refusal = _('--habit {typed}: write "{key}", "{key}=no" or "{key}=rest"; it is not counted')
        raise UsageError(refusal.format(typed=text, key=habit.key))
    if not 0 <= count < float("inf"):
        refusal = _('--habit {typed}: "{value}" is not a number from 0 up; write e.g. "{key}=20"')
        raise UsageError(refusal.format(typed=text, value=value, key=habit.key))
    return int(count) if count.is_integer() else count


def _tick(text: str, basis: Basis, day: dt.date, today: dt.date) -> tuple[str, Tick]:
    """A challenge's key and tick."""
    key, equals, value = text.partition("=")
    known = [challenge.key for challenge in basis.settings.challenges]
    if key not in known:
        _refuse_broken("challenge", key, basis)
        if not known:
            refusal = _('there is no challenge "{key}"; add it to journal.toml as one of the [[challenges]]')
            raise UsageError(refusal.format(key=key))
        raise UsageError(_('there is no challenge "{key}"; {remedy}', key=key, remedy=suggestion(key, known)))
    if not equals or value in YES:
        return key, True
    if value in NO:
        return key, False
    try:
        caught_up = dt.date.fromisoformat(value)
    except ValueError:
        refusal = _(
            '--challenge {typed}: write "{key}", "{key}=no", or the later day on which it was done, e.g. '
            '"{key}={later}"'
        )
        raise UsageError(refusal.format(typed=text, key=key, later=day + dt.timedelta(days=1))) from None
    if caught_up <= day:
        refusal = _('--challenge {typed}: the tick is for {day}; write "{key}", or a later day on which it was done')
        raise UsageError(refusal.format(typed=text, day=day, key=key))
    if caught_up > today:
        refusal = _("--challenge {typed}: {day} is still to come; log it on that day")
        raise UsageError(refusal.format(typed=text, day=caught_up))
    return key, caught_up


def _field(field: Field, value: float | str, basis: Basis, values: Mapping[str, Any]) -> float | str:
    """The value to write for a field. Raises UsageError if it is out of range or would replace a text."""
    if isinstance(value, str):
        (text,) = _filled([value], option_name(field))
        present: Any = values
        for name in field.path:
            present = present.get(name) if isinstance(present, Mapping) else None
        if present is not None and present != text:
            refusal = _('{option}: the page has one already, "{present}"; change the page')
            raise UsageError(refusal.format(option=option_name(field), present=present))
        return text
    name, typed = option_name(field), f"{option_name(field)} {numbers.number(value)}"
    if field.scale:
        scale = basis.known.scales.get(field.scale)  # none if it may stand in a broken line
        if scale is not None and not scale.low <= value <= scale.high:
            refusal = _("{typed}: the scale of this journal goes from {low} to {high}; write one of these")
            low, high = numbers.number(scale.low), numbers.number(scale.high)
            raise UsageError(refusal.format(typed=typed, low=low, high=high))
    elif not field.holds(value):
        refusal = _("{typed}: it is a number, {bounds}; write e.g. {option} {sample}")
        raise UsageError(refusal.format(typed=typed, bounds=field.bounds(), option=name, sample=field.sample()))
    whole = float(value).is_integer()
    if field.kind == "whole number" and not whole:
        refusal = _("{typed}: it is a whole number; write e.g. {option} {sample}")
        raise UsageError(refusal.format(typed=f"{name} {value}", option=name, sample=field.sample()))
    return int(value) if whole else value


def _lines(given: Given, values: Mapping[str, Any]) -> dict[tuple[str, ...], Any]:
    """The changes that add lines and the memory. A line that the page has already is not added again."""
    changes: dict[tuple[str, ...], Any] = {}
    for name, option, added in (("gratitude", "--gratitude", given.gratitude), ("notes", "--note", given.notes)):
        present = values.get(name, [])
        present = present if isinstance(present, list) else []
        new = [line for line in _filled(added, option) if line not in present]
        if new:
            changes[name,] = [*present, *dict.fromkeys(new)]
    if given.memory is not None:
        (memory,) = _filled([given.memory], "--memory")
        present = values.get("memory")
        if present is not None and present != memory:
            refusal = _('--memory: the page has one already, "{present}"; write this as --note, or change the page')
            raise UsageError(refusal.format(present=present))
        changes["memory",] = memory
    return changes


def _share(given: Given, values: Mapping[str, Any], path: str) -> bool | None:
    """True, or REMOVE if the memory is not shared. Raises UsageError if there is no memory to share."""
    if given.share and given.memory is None and not str(values.get("memory", "")).strip():
        raise UsageError(_('--share: {page} has no memory to share; add e.g. --memory "First frost."', page=path))
    return given.share or REMOVE


def _filled(lines: Iterable[str], option: str) -> list[str]:
    stripped = [line.strip() for line in lines]
    if not all(stripped):
        raise UsageError(_('{option}: the text is empty; write e.g. {option} "Bread, still warm."', option=option))
    return stripped
