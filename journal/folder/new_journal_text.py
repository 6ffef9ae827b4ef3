"""The text of a new journal's files. Both are meant to be read and changed.

journal.toml has every setting with a word on it: a value, or an example that is valid without its "# " (tests check
both). A setting that is added to `journal.settings` needs its line here. The words are in the language of the journal
(`new_journal_words`), and these are the English ones.
"""

from __future__ import annotations

import datetime as dt
import unicodedata
from collections.abc import Iterator
from itertools import chain
from typing import Any

import msgspec

from journal.folder import new_journal_words, toml_format
from journal.language.catalogue import _p
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.settings import Habit, LanguageCode, Place, Weekday
from journal.wording import numbers

_DAY = dt.timedelta(days=1)


class Beginning(msgspec.Struct, frozen=True, kw_only=True):
    """The answers that a new journal is made from. The examples in it begin on `day`."""

    title: str
    home: Place
    language: LanguageCode = "en"
    week_starts: Weekday
    clock: int = 24
    temperature: str = "C"
    habits: tuple[Habit, ...] = ()
    day: dt.date = dt.date(2025, 1, 1)


def settings_text(beginning: Beginning) -> str:
    """Return the journal.toml of a new journal, with comments, in its language. Any text becomes valid TOML.

    >>> import tomllib
    >>> home = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
    >>> walk = Habit(key="walk", name="Walk", start=dt.date(2025, 3, 14), every="FREQ=DAILY")
    >>> beginning = Beginning(title='A "new"\\nyear', home=home, week_starts="sunday", habits=(walk,))
    >>> settings = tomllib.loads(settings_text(beginning))
    >>> settings["title"], settings["habits"][0]["every"]
    ('A "new"\\nyear', 'FREQ=DAILY')
    """
    with speaking(LANGUAGES[beginning.language]):
        return _filled(beginning)


def _filled(beginning: Beginning) -> str:
    home, taken = beginning.home, {habit.key for habit in beginning.habits}
    examples = {f"{key}_key": toml_format.value(key_for(key, taken)) for key in ("call", "swim", "read")}
    # Names a habit that is there, so that the example is valid. Without one, it stays a comment.
    resting = f"# habits = [{toml_format.value(beginning.habits[0].key)}]" if taken else '# # habits = ["call"]'
    only = _p("journal.toml", "only these; all, without this line")
    return new_journal_words.told(_SETTINGS).format(
        title=toml_format.value(beginning.title),
        language=beginning.language,
        languages=numbers.listed((f'"{code}"' for code in LANGUAGES), "or"),
        week_starts=f"{toml_format.value(beginning.week_starts):18}",
        clock=beginning.clock,
        temperature=toml_format.value(beginning.temperature),
        place=toml_format.value(home.name),
        latitude=f"{toml_format.value(float(home.latitude)):21}",
        longitude=toml_format.value(float(home.longitude)),
        timezone=toml_format.value(home.timezone),
        habits="".join(f"{_habit_text(habit)}\n" for habit in beginning.habits),
        from_=beginning.day,
        rest_until=beginning.day + 6 * _DAY,
        month_until=beginning.day + 29 * _DAY,
        year_until=beginning.day + 364 * _DAY,
        resting=f"{resting:32}# {only}",
        **examples,
    )


def undated_text(language: LanguageCode = "en") -> str:
    """Return the undated.toml of a new journal: a comment and no task."""
    with speaking(LANGUAGES[language]):
        return new_journal_words.told(_UNDATED)


def texts() -> Iterator[str]:
    """Return the words of both files in English, for the catalogues."""
    return chain(new_journal_words.texts(_SETTINGS), new_journal_words.texts(_UNDATED))


def key_for(name: str, taken: set[str], word: str = "habit") -> str:
    """Return a short key for a name: lowercase ASCII letters, digits and hyphens, different from `taken`.

    `word` is the key of a name without a Latin letter.

    >>> key_for("Čaj brez sladkorja!", set()), key_for("散歩", {"habit"})
    ('caj-brez-sladkorja', 'habit-2')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = "-".join("".join(c if c.isalnum() else " " for c in plain).split()) or word
    key, number = stem, 1
    while key in taken:
        number += 1
        key = f"{stem}-{number}"
    return key


def _habit_text(habit: Habit) -> str:
    keys: dict[str, Any] = {"key": habit.key, "name": habit.name}
    keys |= {"every": habit.every} if habit.every else {"times": habit.times, "per": habit.per}
    keys["from"] = habit.start
    if habit.target is not None:
        keys |= {"target": habit.target, "unit": habit.unit, "aim": habit.aim}
    return "[[habits]]\n" + "".join(f"{key} = {toml_format.value(value)}\n" for key, value in keys.items())


_SETTINGS = """\
#:schema .schema/journal.schema.json
# The settings of this journal. Change what you like in any editor; "duskbook check" tells where something is amiss.
# The days go beside this file, each in its own: 2025/2025-03-14.toml and so on.
# What stands behind "# " like a setting is an example. Take the "# " of its lines away to use it.

format = 1                      # of these files; leave it
title = {title}
language = "{language}"                 # of the pages: {languages}
week_starts = {week_starts}# the first day of a week
clock = {clock}                      # or 12
temperature = {temperature}               # "C" or "F"
blank = "breaks"                # or "bridges": what a due day that was not logged does to a streak
unmarked = "missed"             # or "blank": what a habit without a mark is, once its evening is closed
pictures = "cleaned"            # or "as they are": what the copy of a picture says of where and when it was taken
# calendars = ["~/calendars/work.ics"]   # calendar files outside of this folder, or folders with them

[day]
turns = "04:00"                 # an hour before that still belongs to the day before
gratitude_lines = 2             # fields for good things on the evening page
ranked_tasks = 3                # how many tasks of a day come first

# Places. The first is home. Sun and times of a day follow its place.
[[places]]
key = "home"
name = {place}
latitude = {latitude}# degrees north; below zero is south
longitude = {longitude}
timezone = {timezone}

# A day away from home names its place by the key: place = "edinburgh".
# [[places]]
# key = "edinburgh"
# name = "Edinburgh"
# latitude = 55.95
# longitude = -3.19             # degrees east; below zero is west
# timezone = "Europe/London"

# How a day was. A word for each whole step of the scale, from low to high.
[mood]
low = 1
high = 5
words = ["heavy", "low", "even", "good", "bright"]

[energy]
low = 1
high = 5
words = ["empty", "low", "steady", "strong", "full"]

# What the hours of a day go to.
[[categories]]
key = "sleep"
name = "Sleep"
colour = "#332288"              # without one, the next of a scheme is taken
sleep = true                    # exactly one category is sleep

[[categories]]
key = "work"
name = "Work"
colour = "#88CCEE"
work = true                     # a day with hours in it is a work day

[[categories]]
key = "home"
name = "Home"
colour = "#DDCC77"

[[categories]]
key = "people"
name = "People"
colour = "#117733"

# The strip of hours that a new day starts from, and that of a weekday that differs: monday to sunday.
[hours.usual]
sleep = ["00:00-06:30", "22:30-24:00"]

# [hours.saturday]
# sleep = ["00:00-08:00", "23:30-24:00"]
# people = ["14:00-18:00"]

# Habits. To change one, leave its block as it is and add another with the same key and a later from: the days before
# keep their rule.
{habits}# Due by a rule: "FREQ=DAILY", "FREQ=WEEKLY;BYDAY=MO,WE,FR", with ";INTERVAL=2" for every other week, and so on.
# [[habits]]
# key = {call_key}
# name = "Call home"
# every = "FREQ=WEEKLY;BYDAY=SU"   # a recurrence rule of RFC 5545, counted from the first day
# from = {from_}
# until = {year_until}            # the last day, if it has one

# Due by a quota, on any days.
# [[habits]]
# key = {swim_key}
# name = "Swim"
# times = 3
# per = "week"                  # or "month"
# from = {from_}

# Counted: the number of a day is compared with the target.
# [[habits]]
# key = {read_key}
# name = "Read"
# every = "FREQ=WEEKLY;BYDAY=MO,WE,FR"
# from = {from_}
# target = 20
# unit = "pages"
# aim = "at least"              # or "at most"
# [[trials]]                    # by lot: done on the days that are drawn. The month page makes one, and says how long
# key = "reading"
# question = "Does reading lift the next day?"
# habit = {read_key}
# outcome = "mood"              # or "energy", "sleep", the key of another habit with a target
# lag = 1                       # days after: 0 or 1
# from = {from_}
# days = 60
# block = 2                     # days in a block; of two blocks, one is with the habit and one without
# washout = 0                   # days at the start of each block that are left out
# seed = 4711                   # with the plan it gives the draw
# # plan = "0123456789ab"       # Duskbook writes this line and the next three
# # looked = [{from_}]
# # stopped = {month_until}
# # interrupted = {month_until}

# A challenge has a tick on each of its days.
# [[challenges]]
# key = "letters"
# name = "Thirty letters"
# from = {from_}
# until = {month_until}
# prompts = ["To the house you grew up in", "To the river"]   # one a day, in order; or none

# A task that comes round. The evening page offers it on its days.
# [[routines]]
# title = "Stock count"
# every = "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"
# from = {from_}
# until = {year_until}            # the last day, if it has one
# estimate = 60                 # minutes

# Time off, written in advance or afterwards: what is due on these days rests.
# [[rests]]
# from = {from_}
# until = {rest_until}
{resting}
# reason = "flu"                # private: in no export but your own

# The questions of the week, month and year page.
[prompts]
week = ["What carried this week?", "What may go?"]
month = ["What held this month?", "What changes next month?"]
year = ["What was this year like?", "What goes with you into the next?"]

# Words of yours that say little, left out where the words of a month are compared, as common ones are.
[lines]
stop_words = []                 # e.g. ["got", "thing"]
"""

_UNDATED = """\
#:schema .schema/undated.schema.json
# Tasks that have no day yet. All but the title may be left out; estimate is in minutes.
#
# [[tasks]]
# title = "Sharpen the paring knife"
# estimate = 20
# since = 2025-03-14
"""
