"""The work of `duskbook start`: the questions for a new journal.

Proposals follow from the system's time zone. There is no network request.
"""

from __future__ import annotations

import datetime as dt
import difflib
import os
import sys
import zoneinfo
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

import click

from journal import periods
from journal.commands import clock, habit_questions
from journal.commands.system_zone import is_zone, system_zone
from journal.commands.usage_errors import say, suggestion
from journal.errors import ExportError, JournalError
from journal.export import write_files
from journal.folder import atomic_write
from journal.folder.new_journal import begin, refuse_if_begun
from journal.folder.new_journal_text import Beginning, key_for
from journal.language.languages import ENGLISH, LANGUAGES, Language, of_locale
from journal.schemas import page_schemas
from journal.settings import DEFAULT_WEEK_START, WEEKDAYS, Habit, Place, Settings
from journal.setup.zone_town import proposed_home

T = TypeVar("T")
NOWHERE = Place(key="home", name="Home", latitude=0, longitude=0, timezone="Etc/UTC")


def start(folder: Path, yes: bool) -> None:
    """Ask the questions (with `yes`, take every proposal), write the journal, and print what to do next."""
    refuse_if_begun(folder)
    home = proposed_home(system_zone())
    beginning = _proposals(home) if yes else _questions(home)
    for path in begin(folder, beginning):
        say(f"Wrote {path}")
    _write_schemas(folder)
    place = beginning.home
    if yes:
        say(f"Home is set to {place.name} ({place.latitude}, {place.longitude}), {place.timezone}.")
    rest = "Put your own place and habits in with" if yes else "Set up the rest with"
    if not yes and is_asked_in_person():
        _offer_menu(folder, beginning.title)
    say(f"{rest}: duskbook settings {folder}")
    say(f"Begin tonight with: duskbook evening {folder}")


def _offer_menu(folder: Path, title: str) -> None:
    """Ask for an entry in the desktop's menu. It can be added and removed later, so that it fails is no error here."""
    question = "Put an entry into the desktop's menu, to open it without a terminal"
    if _ask(question, "no", _one_of("answer", ("yes", "no"))) == "no":
        return
    from journal.commands import menu_files  # noqa: PLC0415 (for this answer only)

    try:
        for path in menu_files.add(menu_files.entry_of(folder, title)):
            say(f"Wrote {path}")
    except JournalError as error:
        say(f"duskbook: {error}", err=True)


def _write_schemas(folder: Path) -> None:
    """Write the schemas that the first line of the new files names. Only an editor's help needs them."""
    place = folder / page_schemas.FOLDER_NAME
    try:
        atomic_write.make_folder(place)
        write_files.put_all(place, page_schemas.files())
    except (ExportError, OSError):
        say(f'duskbook: {place} could not be written; try again with "duskbook schema --to {place}"', err=True)


def is_asked_in_person() -> bool:
    """Whether a person is at the terminal. A script, or a test, must not wait for a page that nobody closes."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _proposals(home: Place) -> Beginning:
    title = "My journal"
    today = _today(Settings(title=title, places=(home,)))
    language = system_language().code
    return Beginning(
        title=title,
        home=home,
        language=language,  # type: ignore[arg-type]  # one of those of the settings, as a test says
        week_starts=DEFAULT_WEEK_START,
        day=today,
    )


def _today(settings: Settings) -> dt.date:
    return periods.day_of(clock.now(), settings)


def _questions(proposed: Place) -> Beginning:
    click.echo("A new journal. Press Enter to take the value in brackets; you can change everything later.")
    language = system_language()
    if language.code != ENGLISH.code:  # nobody else is asked: English is what a journal has without the line
        names = tuple(one.name for one in LANGUAGES.values())
        chosen = _ask(f"Language ({', '.join(names)})", language.name, _one_of("language", names))
        language = next(one for one in LANGUAGES.values() if one.name == chosen)
    title = _ask("Title", "My journal", _text)
    zone = _ask("Time zone", proposed.timezone, _zone)
    town = proposed_home(zone)
    place = Place(
        key="home",
        name=_ask("Place", town.name, _text),
        latitude=_ask("Latitude, degrees north", town.latitude, _number(90, "latitude", "46.05")),
        longitude=_ask("Longitude, degrees east", town.longitude, _number(180, "longitude", "14.51")),
        timezone=zone,
    )
    week_starts = _ask("Week starts on", DEFAULT_WEEK_START, _one_of("day of the week", WEEKDAYS))
    hours = _ask("Clock of 24 or 12 hours", "24", _one_of("clock", ("24", "12")))
    degrees = _ask("Temperature in C or F", "C", _one_of("temperature", ("C", "F")))
    settings = Settings(title=title, places=(place,))
    return Beginning(
        title=title,
        home=place,
        language=language.code,  # type: ignore[arg-type]  # one of those of the settings, as a test says
        week_starts=week_starts,  # type: ignore[arg-type]  # one of WEEKDAYS, as asked
        clock=int(hours),
        temperature=degrees,
        habits=_habits(settings),
        day=_today(settings),
    )


def _habits(settings: Settings) -> tuple[Habit, ...]:
    """Ask for habits until the name is empty. They begin today."""
    click.echo("Your first habits, one at a time. Leave the name empty to finish.")
    today = _today(settings)
    habits: list[Habit] = []
    while name := _ask("Habit", "", str.strip):
        schedule = _ask(
            '  When? "every day", "mo we fr", "3 a week", "every other friday"', "every day", habit_questions.when
        )
        target = _ask('  How much? "20 pages", "at most 2 cups", empty for yes or no', "", habit_questions.how_much)
        key = key_for(name, {habit.key for habit in habits})
        habits.append(Habit(key=key, name=name, start=today, **schedule, **target))
    return tuple(habits)


def _ask(question: str, proposed: object, read: Callable[[str], T]) -> T:
    """Ask until `read` parses the answer. The message of its ValueError is shown."""

    def answer(text: str) -> T:
        try:
            return read(str(text).strip())
        except ValueError as error:
            raise click.UsageError(str(error)) from None

    return click.prompt(question, default=str(proposed), show_default=proposed != "", value_proc=answer)


def system_language(environment: Mapping[str, str] = os.environ) -> Language:
    """The language of the system's locale, English if it is not there. `LANGUAGE` may name several, the first counts.

    >>> system_language({"LANG": "de_AT.UTF-8"}).code, system_language({"LC_ALL": "C", "LANG": "de_DE"}).code
    ('de', 'en')
    """
    if listed := environment.get("LANGUAGE", "").partition(":")[0]:
        return of_locale(listed)
    return of_locale(
        next((value for name in ("LC_ALL", "LC_MESSAGES", "LANG") if (value := environment.get(name))), "")
    )


def _text(answer: str) -> str:
    if not answer.isprintable() or not answer:
        raise ValueError("write a few plain words")
    return answer


def _zone(answer: str) -> str:
    if not is_zone(answer):
        known = zoneinfo.available_timezones()
        towns = {zone.rpartition("/")[2].lower(): zone for zone in sorted(known)}
        close = difflib.get_close_matches(answer.lower().replace(" ", "_"), towns, n=1)
        remedy = f'did you mean "{towns[close[0]]}"?' if close else 'write e.g. "Europe/Ljubljana"'
        raise ValueError(f'there is no time zone "{answer}"; {remedy}')
    return answer


def _number(limit: float, noun: str, example: str) -> Callable[[str], float]:
    def read(answer: str) -> float:
        try:
            value = float(answer.replace(",", "."))
        except ValueError:
            value = float("nan")
        if not -limit <= value <= limit:
            raise ValueError(f'"{answer}" is not a {noun}; write degrees from -{limit:g} to {limit:g}, e.g. {example}')
        return value

    return read


def _one_of(noun: str, words: tuple[str, ...]) -> Callable[[str], str]:
    def read(answer: str) -> str:
        match = next((word for word in words if word.lower() == answer.lower()), None)
        if match is None:
            raise ValueError(f'there is no {noun} "{answer}"; {suggestion(answer.lower(), words)}')
        return match

    return read
