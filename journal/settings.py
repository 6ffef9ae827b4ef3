"""The typed journal.toml. All but a title and one place has a default that suits most people."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import Literal, NamedTuple

import msgspec

from journal.entry import Clock, Span

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = (
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
)  # fmt: skip
DEFAULT_WEEK_START: Weekday = "monday"
"""Of a journal that says nothing, as ISO 8601 has it. No other module has a default: the journal's own is handed on."""

# Paul Tol, "Colour schemes" (SRON/EPS/TN/09-002, issue 3.2, 2021), scheme "muted", in his order.
TOL_MUTED = (
    "#CC6677", "#332288", "#DDCC77", "#117733", "#88CCEE", "#882255", "#44AA99", "#999933", "#AA4499",
)  # fmt: skip


class DaySettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """`turns`: an hour before that still belongs to the day before."""

    turns: Clock = Clock(4 * 60)
    gratitude_lines: int = 2
    ranked_tasks: int = 3


class Place(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Degrees north and east; an IANA time zone. Degrees that may not be told are NaN: no sun is reckoned then."""

    key: str
    name: str
    latitude: float
    longitude: float
    timezone: str


class Scale(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An ordinal scale, low to high, with a word for each whole step where there are words."""

    low: float = 1
    high: float = 5
    words: tuple[str, ...] = ()

    def word(self, value: float) -> str:
        """The word for a value, empty where the scale has none for it.

        >>> Scale(words=("heavy", "low", "even", "good", "bright")).word(4)
        'good'
        """
        step = float(value - self.low)
        return self.words[int(step)] if step.is_integer() and 0 <= step < len(self.words) else ""


class Category(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What hours go to. Exactly one category of a journal is sleep; a day with `work` hours is a work day."""

    key: str
    name: str
    colour: str = ""
    sleep: bool = False
    work: bool = False


class Habit(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One definition of a habit, in force from a day on.

    It is due by an RFC 5545 rule (`every`, counted from `start`) or by a quota (`times` per `per`), never both.
    A counted habit has a `target`. A later definition with the same key takes over on its own first day.
    """

    key: str
    name: str
    start: dt.date = msgspec.field(name="from")
    until: dt.date | None = None
    every: str | None = None
    times: int | None = None
    per: Literal["week", "month"] | None = None
    target: float | None = None
    unit: str = ""
    aim: Literal["at least", "at most"] = "at least"


class HabitSpan(NamedTuple):
    """The days on which a definition of a habit holds, both included; the last is `date.max` where nothing ends it.

    It has no days where another definition of the habit starts with it: then `last` is before `first`.
    """

    habit: Habit
    first: dt.date
    last: dt.date


class Challenge(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something to tick on each day of a span, with a prompt a day where there are prompts."""

    key: str
    name: str
    start: dt.date = msgspec.field(name="from")
    until: dt.date
    prompts: tuple[str, ...] = ()


class Routine(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A task that comes round by an RFC 5545 rule. Estimate is minutes."""

    title: str
    every: str
    start: dt.date = msgspec.field(name="from")
    until: dt.date | None = None
    estimate: float | None = None


class Prompts(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a reflection asks, by kind of page."""

    week: tuple[str, ...] = ("What carried this week?", "What may go?")
    month: tuple[str, ...] = ("What held this month?", "What changes next month?")
    year: tuple[str, ...] = ("What was this year like?", "What goes with you into the next?")


class LineSettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """`stop_words`: words of the writer's own that say little, beside those of English, where words are compared."""

    stop_words: tuple[str, ...] = ()


DEFAULT_CATEGORIES = (
    Category(key="sleep", name="Sleep", colour="#332288", sleep=True),
    Category(key="work", name="Work", colour="#88CCEE", work=True),
    Category(key="home", name="Home", colour="#DDCC77"),
    Category(key="people", name="People", colour="#117733"),
)


class Settings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, dict=True):
    """The whole of journal.toml. `hours` maps "usual" or a weekday to spans by category key.

    `calendars` names iCalendar files outside of the journal, or in it under another ending: "~/sync/work.ics".
    """

    title: str
    places: tuple[Place, ...]
    format: int = 1
    week_starts: Weekday = DEFAULT_WEEK_START
    clock: Literal[12, 24] = 24
    temperature: Literal["C", "F"] = "C"
    blank: Literal["breaks", "bridges"] = "breaks"
    day: DaySettings = DaySettings()
    hours: dict[str, dict[str, tuple[Span, ...]]] = {}
    mood: Scale = Scale(words=("heavy", "low", "even", "good", "bright"))
    energy: Scale = Scale(words=("empty", "low", "steady", "strong", "full"))
    categories: tuple[Category, ...] = DEFAULT_CATEGORIES
    habits: tuple[Habit, ...] = ()
    challenges: tuple[Challenge, ...] = ()
    routines: tuple[Routine, ...] = ()
    prompts: Prompts = Prompts()
    calendars: tuple[str, ...] = ()
    lines: LineSettings = LineSettings()

    @property
    def habit_keys(self) -> tuple[str, ...]:
        """Keys of all habits, in the order in which the journal first names them."""
        return tuple(dict.fromkeys(habit.key for habit in self.habits))

    def definitions(self, key: str) -> tuple[Habit, ...]:
        """The definitions of one habit, oldest first."""
        return tuple(sorted((h for h in self.habits if h.key == key), key=lambda h: h.start))

    @cached_property
    def habit_spans(self) -> dict[str, tuple[HabitSpan, ...]]:
        """When each definition holds, by the key of its habit, oldest first. A later one takes over on its own first
        day, and what it took over from does not come back when it ends."""
        return {key: tuple(_spans(self.definitions(key))) for key in self.habit_keys}

    def habit_on(self, key: str, day: dt.date) -> Habit | None:
        """The definition of a habit that holds on a day; None before the first, after an end, and for no habit.

        >>> start, end = dt.date(2025, 3, 1), dt.date(2025, 3, 14)
        >>> walk = Habit(key="walk", name="Walk", start=start, until=end, every="FREQ=DAILY")
        >>> settings = Settings(title="Small", places=(), habits=(walk,))
        >>> settings.habit_on("walk", end).name, settings.habit_on("walk", end + dt.timedelta(days=1))
        ('Walk', None)
        """
        for span in reversed(self.habit_spans.get(key, ())):
            if span.first <= day:
                return span.habit if day <= span.last else None
        return None

    def habit_name(self, key: str) -> str:
        """The name a habit goes by now; the key itself for a habit the journal does not define."""
        return next((h.name for h in reversed(self.definitions(key))), key)

    @property
    def asleep(self) -> str:
        """The key of the category that is sleep; empty where none is."""
        return next((category.key for category in self.categories if category.sleep), "")

    @property
    def working(self) -> tuple[str, ...]:
        """The keys of the categories whose hours make a day a work day."""
        return tuple(category.key for category in self.categories if category.work)

    @property
    def zones(self) -> dict[str, str]:
        """The time zone of each place by its key, home first."""
        return {place.key: place.timezone for place in self.places}

    def colour(self, category: str) -> str:
        """The colour of a category: its own, else the next of Tol's muted scheme that no category has set."""
        unset = [c.key for c in self.categories if not c.colour]
        free = [c for c in TOL_MUTED if c not in {own.colour.upper() for own in self.categories}] or TOL_MUTED
        own = next((c.colour for c in self.categories if c.key == category and c.colour), None)
        return own or free[unset.index(category) % len(free)]


def _spans(definitions: Sequence[Habit]) -> Iterator[HabitSpan]:
    ends = [later.start - dt.timedelta(days=1) for later in definitions[1:]] + [dt.date.max]
    for habit, end in zip(definitions, ends, strict=False):  # no definitions, and still an end
        yield HabitSpan(habit, habit.start, min(end, habit.until or dt.date.max))


def keys(parts: Iterable[Place | Category | Challenge]) -> tuple[str, ...]:
    """The keys of some parts, in their order."""
    return tuple(part.key for part in parts)
