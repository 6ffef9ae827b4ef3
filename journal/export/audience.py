"""The readers of an export, and the journal reduced to what a reader may see.

What a reader may not see is removed from the frames and settings before anything is counted, drawn or put into words.
So no chart, sentence, title, alternative text, file name or number can contain it.

|                                     | me      | friend             | anyone                      |
|-------------------------------------|---------|--------------------|-----------------------------|
| marks, ticks, moods, hours, dates,  | as are  | as are             | as are                      |
| rules and targets                   |         |                    |                             |
| memories                            | all     | those with `share` | none                        |
| pictures with their captions        | all     | those of a day     | none                        |
|                                     |         | with `share`       |                             |
| names and keys of habits            | as are  | as are             | Habit A, B, ... unless      |
|                                     |         |                    | their key is in `named`     |
| names and keys of challenges        | as are  | as are             | Challenge A, B, ...         |
| names and keys of categories        | as are  | as are             | Sleep, Work, Category A, ...|
| units of counted habits             | as are  | as are             | none                        |
| words of mood and energy            | as are  | as are             | none: numbers               |
| title of the journal                | as is   | as is              | "Journal"                   |
| tasks                               | as are  | numbers and dates, no title, a running id        |
| places                              | as are  | one without name and degrees: no sun, no day     |
|                                     |         | length; of its time zone the clock changes       |
| gratitude, notes, reflections,      | as are  | none                                             |
| decisions, appointments, weather,   |         |                                                  |
| prompts, routines, time off, trials,|         |                                                  |
| calendars, own stop words, undated  |         |                                                  |
| tasks, the folder, its problems     |         |                                                  |

Weather is removed because highs and lows by date reveal where someone lives, and decisions because they are answers of
a reflection. The length of a night depends on clock changes: `measures.clock_changes` keeps only those. Minutes stay
exact, and from a night with a clock change a reader may learn which region's clocks they were.
"""

from __future__ import annotations

import itertools
import string
from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Literal, NamedTuple, TypeVar

import polars as pl
from msgspec.structs import replace

from journal import Journal
from journal.entry import DAY_FIELDS, Undated
from journal.errors import UsageError
from journal.export import picture_exports
from journal.folder.faults import choose, quoted
from journal.language.catalogue import N_, _
from journal.measures import clock_changes, sleep
from journal.measures.task_identity import identified
from journal.settings import Category, Challenge, Habit, LineSettings, Place, Prompts, Settings, keys
from journal.tables import Tables

Audience = Literal["me", "friend", "anyone"]
_Part = TypeVar("_Part", Habit, Challenge, Category)

TITLE = N_("Journal")
_UNKNOWN = float("nan")
_WORDS = ("appointments", "reflections", "decisions")


class _Renamed(NamedTuple):
    """The key and name that stand in for those of a habit, challenge or category."""

    key: str
    name: str


def seen_by(book: Journal, audience: Audience, *, named: Collection[str] = ()) -> Journal:
    """The journal reduced to what a reader may see, as in the table above.

    `named` are keys of habits that keep key and name for anyone. The others get letters by their position among all
    habits, so that a letter does not depend on which habits are named. Habits, challenges and categories keep their
    order, colours and numbers. The function is idempotent for each reader.

    Raises UsageError with a suggestion if `named` has an unknown key.

    >>> import datetime as dt
    >>> from journal.entry import Entry, Page
    >>> from journal.settings import Habit
    >>> from journal.tables import build, record
    >>> day = dt.date(2025, 3, 14)
    >>> names = {"walk": "Walk by the river", "read": "Read"}
    >>> habits = [Habit(key=key, name=name, start=day, every="FREQ=DAILY") for key, name in names.items()]
    >>> settings = Settings(title="Spine and thread", places=(), habits=tuple(habits))
    >>> entry = Entry(mood=4, memory="First guest book.", share=True, notes=("Grey thread.",), habits={"walk": True})
    >>> pages = record([Page(path="2025/2025-03-14.toml", kind="day", key="2025-03-14", content=entry)])
    >>> book = Journal(Path("mine"), settings, day, build(pages, settings, day), Undated(), ())
    >>> seen_by(book, "friend").tables.lines.get_column("text").to_list()
    ['First guest book.']
    >>> anyone = seen_by(book, "anyone", named=["read"])
    >>> [(habit.key, habit.name) for habit in anyone.settings.habits], anyone.tables.lines.height
    ([('habit-a', 'Habit A'), ('read', 'Read')], 0)
    """
    for key in named:
        if key not in book.settings.habit_keys:
            remedy = choose(key, book.settings.habit_keys, _("write the key of one in journal.toml"))
            raise UsageError(_("there is no habit {key} to name; {remedy}", key=quoted(key), remedy=remedy))
    if audience == "me":
        return book
    tables = _without_words(replace(book.tables, marks=book.marks))
    settings = _without_words_of_settings(book.settings, book.tables)
    withheld = book.withheld  # a book for others must not show what her own does not
    if audience == "anyone":
        letters = _letters(settings, frozenset(named))
        withheld = tuple(
            link._replace(habit=letters[link.habit].key) if link.habit in letters else link for link in withheld
        )
        tables, settings = _lettered(tables, settings, frozenset(named))
    return Journal(
        folder=Path(), settings=settings, today=book.today, tables=tables, undated=Undated(), problems=(),
        withheld_before=withheld,
    )  # fmt: skip


def _without_words(tables: Tables) -> Tables:
    """The tables for a friend: the only text left is the memories marked with `share`."""
    days = tables.days
    return replace(
        tables,
        days=_without(days, [field.name for field in DAY_FIELDS if field.reader == "me"]),
        lines=tables.lines.filter(pl.col("kind") == "memory", pl.col("shared")),
        pictures=tables.pictures.filter("shared").with_columns(
            file=picture_exports.name_of(pl.col("date"), pl.col("position"))
        ),
        tasks=_numbered(tables.tasks),
        **{name: getattr(tables, name).clear() for name in _WORDS},
    )


def _without(days: pl.DataFrame, columns: Iterable[str]) -> pl.DataFrame:
    """The days with null in some columns."""
    return days.with_columns(pl.lit(None, days.schema[column]).alias(column) for column in columns)


def _numbered(tasks: pl.DataFrame) -> pl.DataFrame:
    """Tasks without titles. Rows that `tasks.lives` joins to one task share a running id."""
    rows = identified(tasks)
    order = rows.select(pl.col("task").unique(maintain_order=True)).with_row_index("number", offset=1)
    return (
        rows.join(order, on="task", how="left", maintain_order="left")
        .with_columns(id=pl.format("task-{}", "number"), title=pl.lit(""))
        .select(tasks.columns)
    )


def _without_words_of_settings(settings: Settings, tables: Tables) -> Settings:
    slept = sleep.sleeps(tables.hours, tables.days, sleep=settings.asleep, zones=settings.zones)
    before_midnight = slept.filter(pl.col("bed_minute") < 0).get_column("date").to_list()
    changes = clock_changes.stand_in(tables.days, settings.zones, nights=before_midnight)
    nowhere = Place(key="home", name=_("Home"), latitude=_UNKNOWN, longitude=_UNKNOWN, timezone=changes)
    return replace(
        settings,
        places=(nowhere,),
        temperature="C",  # no temperature is left to show
        hours={},
        challenges=tuple(replace(challenge, prompts=()) for challenge in settings.challenges),
        routines=(),
        rests=(),  # `off` of the marks has their days; a reason is private
        trials=(),
        prompts=Prompts(week=(), month=(), year=()),
        calendars=(),
        lines=LineSettings(),
    )


def _lettered(tables: Tables, settings: Settings, named: frozenset[str]) -> tuple[Tables, Settings]:
    """The tables and settings for anyone: only the named habits keep their names."""
    habits = _letters(settings, named)
    challenges = dict(zip(keys(settings.challenges), _counted("challenge", N_("Challenge {letter}")), strict=False))
    categories = _roles(settings, tables.hours.get_column("category").unique(maintain_order=True))
    lettered = replace(
        tables,
        days=_without(tables.days, [field.name for field in DAY_FIELDS if field.reader != "anyone"]),
        lines=tables.lines.clear(),
        pictures=tables.pictures.clear(),
        marks=_renamed(tables.marks, "habit", habits),
        ticks=_renamed(tables.ticks, "challenge", challenges),
        hours=_renamed(tables.hours, "category", categories),
    )
    return lettered, replace(
        settings,
        title=_(TITLE),
        mood=replace(settings.mood, words=()),
        energy=replace(settings.energy, words=()),
        habits=tuple(replace(_renamed_part(habit, habits), unit="") for habit in settings.habits),
        challenges=tuple(_renamed_part(challenge, challenges) for challenge in settings.challenges),
        categories=tuple(_renamed_part(category, categories) for category in settings.categories),
    )


def _letters(settings: Settings, named: frozenset[str]) -> dict[str, _Renamed]:
    """The new key and name of each habit that is not in `named`.

    A letter that a named habit uses already is skipped.
    """
    taken = {_spelled(habit.name) for habit in settings.habits if habit.key in named} | named
    counted = _counted("habit", N_("Habit {letter}"))
    free = (new for new in counted if taken.isdisjoint({new.key, _spelled(new.name)}))
    return {key: new for key, new in zip(settings.habit_keys, free, strict=False) if key not in named}


def _roles(settings: Settings, written: Iterable[str]) -> dict[str, _Renamed]:
    """The new key and name of each category: its role, else a letter. Categories that only pages use come last."""
    working = _counted("work", N_("Work {letter}")) if len(settings.working) > 1 else [_Renamed("work", _("Work"))]
    roles = dict(zip(settings.working, working, strict=False))
    if settings.asleep:
        roles[settings.asleep] = _Renamed("sleep", _("Sleep"))
    others = [key for key in dict.fromkeys([*keys(settings.categories), *written]) if key not in roles]
    return roles | dict(zip(others, _counted("category", N_("Category {letter}")), strict=False))


def _counted(key: str, text: str) -> Iterator[_Renamed]:
    """Keys and names with the letters A to Z, AA, AB and so on. Keys are the same in every language."""
    for length in itertools.count(1):
        for letters in itertools.product(string.ascii_uppercase, repeat=length):
            letter = "".join(letters)
            yield _Renamed(f"{key}-{letter.lower()}", _(text, letter=letter))


def _spelled(name: str) -> str:
    """A name as a key would spell it."""
    return name.lower().replace(" ", "-")


def _renamed_part(part: _Part, new: Mapping[str, _Renamed]) -> _Part:
    own = new.get(part.key)
    return part if own is None else replace(part, key=own.key, name=own.name)


def _renamed(frame: pl.DataFrame, column: str, new: Mapping[str, _Renamed]) -> pl.DataFrame:
    return frame.with_columns(pl.col(column).replace({key: own.key for key, own in new.items()}))
