"""The work of `duskbook start`: the questions for a new journal.

Proposals follow from the system's time zone. There is no network request.
"""

from __future__ import annotations

import datetime as dt
import difflib
import sys
import zoneinfo
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

import click

from journal import periods
from journal.commands import clock, habit_questions, terminal_questions
from journal.commands.command_language import system_language
from journal.commands.system_zone import is_zone, system_zone
from journal.commands.usage_errors import say, suggestion
from journal.errors import ExportError, JournalError
from journal.export import write_files
from journal.folder import atomic_write
from journal.folder.new_journal import begin, refuse_if_begun
from journal.folder.new_journal_text import Beginning, key_for
from journal.language.catalogue import N_, _, _p
from journal.language.languages import ENGLISH, LANGUAGES, Language
from journal.language.spoken import speak, spoken
from journal.schemas import page_schemas
from journal.settings import DEFAULT_WEEK_START, WEEKDAYS, Habit, Place, Settings
from journal.setup.zone_town import proposed_home
from journal.wording import numbers

T = TypeVar("T")

_NO_LANGUAGE = N_('there is no language "{value}"; {remedy}')
_NO_LATITUDE = N_('"{value}" is not a latitude; write degrees from {low} to {high}, e.g. {example}')
_NO_LONGITUDE = N_('"{value}" is not a longitude; write degrees from {low} to {high}, e.g. {example}')


def start(folder: Path, yes: bool) -> None:
    """Ask the questions (with `yes`, take every proposal), write the journal, and print what to do next."""
    refuse_if_begun(folder)
    home = proposed_home(system_zone())
    beginning = _proposals(home) if yes else _questions(home)
    for path in begin(folder, beginning):
        say(_("Wrote {file}", file=path))
    _write_schemas(folder)
    if yes:
        _say_home(beginning.home)
    elif is_asked_in_person():
        _offer_menu(folder, beginning.title)
    if yes:
        say(_("Put your own place and habits in with: duskbook settings {folder}", folder=folder))
    else:
        say(_("Set up the rest with: duskbook settings {folder}", folder=folder))
    say(_("Begin tonight with: duskbook evening {folder}", folder=folder))


def _say_home(place: Place) -> None:
    text = _("Home is set to {name} ({latitude}, {longitude}), {zone}.")
    latitude, longitude = (numbers.number(degrees, 2) for degrees in (place.latitude, place.longitude))
    say(text.format(name=place.name, latitude=latitude, longitude=longitude, zone=place.timezone))


def _offer_menu(folder: Path, title: str) -> None:
    """Ask for an entry in the desktop's menu. It can be added and removed later, so that it fails is no error here."""
    question = _("Put an entry into the desktop's menu, to open it without a terminal")
    if not terminal_questions.ask(question, _p("answer", "no"), _yes_or_no):
        return
    from journal.commands import menu_files  # noqa: PLC0415 (for this answer only)

    try:
        for path in menu_files.add(menu_files.entry_of(folder, title)):
            say(_("Wrote {file}", file=path))
    except JournalError as error:
        say(f"duskbook: {error}", err=True)


def _write_schemas(folder: Path) -> None:
    """Write the schemas that the first line of the new files names. Only an editor's help needs them."""
    place = folder / page_schemas.FOLDER_NAME
    try:
        atomic_write.make_folder(place)
        write_files.put_all(place, page_schemas.files())
    except (ExportError, OSError):
        text = _('{folder} could not be written; try again with "duskbook schema --to {folder}"', folder=place)
        say(f"duskbook: {text}", err=True)


def is_asked_in_person() -> bool:
    """Whether a person is at the terminal. A script, or a test, must not wait for a page that nobody closes."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _proposals(home: Place) -> Beginning:
    title = _("My journal")
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
    click.echo(_("A new journal. Press Enter to take the value in brackets; you can change everything later."))
    language = system_language()
    if language.code != ENGLISH.code:  # nobody else is asked: English is what a journal has without the line
        language = _language(language)
        speak(language.code)
    title = terminal_questions.ask(_("Title"), _("My journal"), _text)
    place = _place(proposed)
    days = {numbers.in_sentence(name): day for name, day in zip(spoken().weekdays, WEEKDAYS, strict=True)}
    week_starts = terminal_questions.ask(
        _("Week starts on"),
        next(name for name, day in days.items() if day == DEFAULT_WEEK_START),
        _one_of(N_('there is no day of the week "{value}"; {remedy}'), days),
    )
    hours = terminal_questions.ask(
        _("Clock of 24 or 12 hours"), "24", _one_of(N_('there is no clock "{value}"; {remedy}'), {"24": 24, "12": 12})
    )
    degrees = terminal_questions.ask(
        _("Temperature in C or F"),
        "C",
        _one_of(N_('there is no temperature "{value}"; {remedy}'), {"C": "C", "F": "F"}),
    )
    settings = Settings(title=title, places=(place,))
    return Beginning(
        title=title,
        home=place,
        language=language.code,  # type: ignore[arg-type]  # one of those of the settings, as a test says
        week_starts=week_starts,
        clock=hours,
        temperature=degrees,
        habits=_habits(settings),
        day=_today(settings),
    )


def _language(proposed: Language) -> Language:
    names = {language.name: language for language in LANGUAGES.values()}
    question = _("Language ({languages})", languages=", ".join(names))
    return terminal_questions.ask(
        question, proposed.name, _one_of(N_('there is no language "{value}"; {remedy}'), names)
    )


def _place(proposed: Place) -> Place:
    """Ask for the time zone, and for the place with what the zone's town proposes."""
    zone = terminal_questions.ask(_("Time zone"), proposed.timezone, _zone)
    town = proposed_home(zone)
    latitude, longitude = (numbers.number(degrees, 2) for degrees in (town.latitude, town.longitude))
    return Place(
        key="home",
        name=terminal_questions.ask(_("Place"), town.name, _text),
        latitude=terminal_questions.ask(
            _("Latitude, degrees north"),
            latitude,
            _degrees(90, _NO_LATITUDE, 46.05),
        ),
        longitude=terminal_questions.ask(
            _("Longitude, degrees east"),
            longitude,
            _degrees(180, _NO_LONGITUDE, 14.51),
        ),
        timezone=zone,
    )


def _habits(settings: Settings) -> tuple[Habit, ...]:
    """Ask for habits until the name is empty. They begin today."""
    click.echo(_("Your first habits, one at a time. Leave the name empty to finish."))
    today = _today(settings)
    habits: list[Habit] = []
    when = _('When? "every day", "mo we fr", "3 a week", "every other friday"')
    how_much = _('How much? "20 pages", "at most 2 cups", empty for yes or no')
    while name := terminal_questions.ask(_("Habit"), "", str):
        schedule = terminal_questions.ask(f"  {when}", _("every day"), habit_questions.when)
        target = terminal_questions.ask(f"  {how_much}", "", habit_questions.how_much)
        key = key_for(name, {habit.key for habit in habits})
        habits.append(Habit(key=key, name=name, start=today, **schedule, **target))
    return tuple(habits)


def _text(answer: str) -> str:
    if not answer.isprintable() or not answer:
        raise ValueError(_("write a few plain words"))
    return answer


def _zone(answer: str) -> str:
    if not is_zone(answer):
        known = zoneinfo.available_timezones()
        towns = {zone.rpartition("/")[2].lower(): zone for zone in sorted(known)}
        close = difflib.get_close_matches(answer.lower().replace(" ", "_"), towns, n=1)
        if not close:
            raise ValueError(_('there is no time zone "{zone}"; write e.g. "Europe/Ljubljana"', zone=answer))
        text = _('there is no time zone "{zone}"; did you mean "{close}"?')
        raise ValueError(text.format(zone=answer, close=towns[close[0]]))
    return answer


def _degrees(limit: float, refusal: str, example: float) -> Callable[[str], float]:
    def read(answer: str) -> float:
        try:
            value = float(answer.replace(",", "."))
        except ValueError:
            value = float("nan")
        if not -limit <= value <= limit:
            low, high, shown = (numbers.number(degrees, 2) for degrees in (-limit, limit, example))
            raise ValueError(_(refusal, value=answer, low=low, high=high, example=shown))
        return value

    return read


def _one_of(refusal: str, words: Mapping[str, T]) -> Callable[[str], T]:
    """Reads one of some words, whatever their case, as what it stands for."""

    def read(answer: str) -> T:
        match = next((value for word, value in words.items() if word.lower() == answer.lower()), None)
        if match is None:
            raise ValueError(_(refusal, value=answer, remedy=suggestion(answer.lower(), words)))
        return match

    return read


def _yes_or_no(answer: str) -> bool:
    meant = terminal_questions.yes_or_no(answer)
    if meant is None:
        remedy = suggestion(answer.lower(), (_p("answer", "yes"), _p("answer", "no")))
        raise ValueError(_('there is no answer "{value}"; {remedy}', value=answer, remedy=remedy))
    return meant
