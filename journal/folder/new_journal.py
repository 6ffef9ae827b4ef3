"""The files of a new journal. Existing files are never overwritten.

Both files are meant to be read: journal.toml lists every setting with a comment, so a newcomer can go on in any editor.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
import unicodedata
from pathlib import Path
from typing import Any

import msgspec
import tomlkit

from journal.errors import FolderError
from journal.settings import Habit, Place, Weekday

SETTINGS_FILE, UNDATED_FILE = "journal.toml", "undated.toml"


class Beginning(msgspec.Struct, frozen=True, kw_only=True):
    """The answers that a new journal is made from."""

    title: str
    home: Place
    week_starts: Weekday
    clock: int = 24
    temperature: str = "C"
    habits: tuple[Habit, ...] = ()


def settings_text(beginning: Beginning) -> str:
    """Return the journal.toml of a new journal, with comments. Any text becomes valid TOML.

    >>> import datetime as dt, tomllib
    >>> home = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
    >>> walk = Habit(key="walk", name="Walk", start=dt.date(2025, 3, 14), every="FREQ=DAILY")
    >>> beginning = Beginning(title='A "new"\\nyear', home=home, week_starts="sunday", habits=(walk,))
    >>> settings = tomllib.loads(settings_text(beginning))
    >>> settings["title"], settings["habits"][0]["every"]
    ('A "new"\\nyear', 'FREQ=DAILY')
    """
    home = beginning.home
    habits = "\n".join(map(_habit_text, beginning.habits)) if beginning.habits else _EXAMPLE_HABIT
    return _SETTINGS.format(
        title=_toml(beginning.title),
        week_starts=_toml(beginning.week_starts),
        clock=beginning.clock,
        temperature=_toml(beginning.temperature),
        place=_toml(home.name),
        latitude=_toml(float(home.latitude)),
        longitude=_toml(float(home.longitude)),
        timezone=_toml(home.timezone),
        habits=habits,
    )


def undated_text() -> str:
    """Return the undated.toml of a new journal: a comment and no task."""
    return _UNDATED


def begin(folder: Path, beginning: Beginning) -> list[Path]:
    """Make the folder if it is missing, and write its first files. Return the paths written.

    Each file is written atomically. An existing file stays as it is. Raises FolderError, with the remedy, if the folder
    is a journal already or cannot be written.
    """
    refuse_if_begun(folder)
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileExistsError):
            written.append(_write_new(folder / UNDATED_FILE, undated_text()))
        # Last, since it is what makes the folder a journal.
        written.append(_write_new(folder / SETTINGS_FILE, settings_text(beginning)))
    except FileExistsError:
        refuse_if_begun(folder)
        raise FolderError(f'"{folder}" is in the way: a file has that name; name another folder') from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FolderError(f'folder "{folder}" cannot be written ({reason}); name another') from None
    return written


def refuse_if_begun(folder: Path) -> None:
    """Raise FolderError if the folder is a journal already, or is not a folder."""
    try:
        if os.path.lexists(folder / SETTINGS_FILE):
            raise FolderError(
                f'"{folder}" is a journal already and stays as it is; open it with "duskbook evening {folder}", '
                "or name another folder"
            )
        if folder.exists() and not folder.is_dir():
            raise FolderError(f'"{folder}" is a file; name a folder to make, e.g. "my-journal"')
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FolderError(f'folder "{folder}" cannot be read ({reason}); name another') from None


def key_for(name: str, taken: set[str]) -> str:
    """Return a short key for a habit's name: lowercase ASCII letters, digits and hyphens, different from `taken`.

    >>> key_for("Čaj brez sladkorja!", set()), key_for("散歩", {"habit"})
    ('caj-brez-sladkorja', 'habit-2')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = "-".join("".join(c if c.isalnum() else " " for c in plain).split()) or "habit"
    key, number = stem, 1
    while key in taken:
        number += 1
        key = f"{stem}-{number}"
    return key


def _write_new(path: Path, text: str) -> Path:
    """Write a file that must not exist yet: to a temp file first, then into place in one step."""
    temp_fd, temp_path = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        # mkstemp gives mode 0600, and that is right: a journal is private.
        with os.fdopen(temp_fd, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        try:
            os.link(temp_path, path)  # unlike a rename, never replaces a file
        except FileExistsError:
            raise
        except OSError:  # a file system without hard links
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
    finally:
        Path(temp_path).unlink(missing_ok=True)
    return path


def _toml(value: Any) -> str:
    return str(tomlkit.item(value).as_string())


def _habit_text(habit: Habit) -> str:
    keys: dict[str, Any] = {"key": habit.key, "name": habit.name}
    keys |= {"every": habit.every} if habit.every else {"times": habit.times, "per": habit.per}
    keys["from"] = habit.start
    if habit.target is not None:
        keys |= {"target": habit.target, "unit": habit.unit, "aim": habit.aim}
    return "[[habits]]\n" + "".join(f"{key} = {_toml(value)}\n" for key, value in keys.items())


_EXAMPLE_HABIT = """\
# [[habits]]
# key = "walk"
# name = "Walk by the river"
# every = "FREQ=DAILY"
# from = 2025-01-01
"""

_SETTINGS = """\
# The settings of this journal. Change what you like in any editor; "duskbook check" tells where something is amiss.
# The days go beside this file, each in its own: 2025/2025-03-14.toml and so on.

format = 1                      # of these files; leave it
title = {title}
week_starts = {week_starts}
clock = {clock}                      # or 12
temperature = {temperature}               # "C" or "F"
blank = "breaks"                # or "bridges": what a due day that was not logged does to a streak
unmarked = "missed"             # or "blank": what a habit without a mark is, once its evening is closed
# calendars = ["~/calendars/work.ics"]     # calendar files to read appointments from, beside those in this folder

[day]
turns = "04:00"                 # an hour before that still belongs to the day before
gratitude_lines = 2
ranked_tasks = 3

[[places]]                      # the first is home; degrees north and east, below zero for south and west
key = "home"
name = {place}
latitude = {latitude}
longitude = {longitude}
timezone = {timezone}

[mood]                          # a word for each whole step, from low to high
low = 1
high = 5
words = ["heavy", "low", "even", "good", "bright"]

# What the hours of a day go to. Exactly one is sleep; days with work in them are work days.
[[categories]]
key = "sleep"
name = "Sleep"
colour = "#332288"
sleep = true

[[categories]]
key = "work"
name = "Work"
colour = "#88CCEE"
work = true

[[categories]]
key = "home"
name = "Home"
colour = "#DDCC77"

[[categories]]
key = "people"
name = "People"
colour = "#117733"

# What the strip of a new day starts from; [hours.saturday] and so on where a weekday differs.
[hours.usual]
sleep = ["00:00-06:30", "22:30-24:00"]

# The habits. A habit is due by a rule (every = an RFC 5545 recurrence rule, counted from its first day)
#     every = "FREQ=DAILY"      every = "FREQ=WEEKLY;BYDAY=MO,WE,FR"
# or by a quota
#     times = 3                 per = "week"        (or "month")
# and a counted one has a target too
#     target = 20               unit = "pages"      aim = "at least"  (or "at most")
# To change a habit, leave its block as it is and add another with the same key and a later from.
{habits}
[prompts]
week = ["What carried this week?", "What may go?"]
month = ["What held this month?", "What changes next month?"]
year = ["What was this year like?", "What goes with you into the next?"]

# Words of yours that say little, left out where the words of a month are compared; those of English are known.
[lines]
stop_words = []
"""

_UNDATED = """\
# Tasks that have no day yet. All but the title may be left out; estimate is in minutes.
#
# [[tasks]]
# title = "Sharpen the paring knife"
# estimate = 20
# since = 2025-03-14
"""
