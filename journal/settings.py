"""The typed journal.toml. Only the title and one place are required; all else has a default."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import ClassVar, Literal, NamedTuple

import msgspec

from journal.entry import Clock, Span

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = (
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
)  # fmt: skip
Unmarked = Literal["missed", "blank"]
"""The state of a due habit without a mark on a day whose evening asked for it."""

LanguageCode = Literal["en", "de"]
"""The language of the pages, by its BCP 47 code; `wording.languages` has what each is."""

PictureKeeping = Literal["cleaned", "as they are"]
"""What the copy of an added picture is: without where and when it was taken, or unchanged."""

DEFAULT_WEEK_START: Weekday = "monday"
"""Of a journal that says nothing, as ISO 8601 has it. No other module has a default: the journal's own is handed on."""

# Paul Tol, "Colour schemes" (SRON/EPS/TN/09-002, issue 3.2, 2021), scheme "muted", in his order.
TOL_MUTED = (
    "#CC6677", "#332288", "#DDCC77", "#117733", "#88CCEE", "#882255", "#44AA99", "#999933", "#AA4499",
)  # fmt: skip


class DaySettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """`turns`: the time at which a new day begins. Earlier times belong to the day before."""

    turns: Clock = Clock(4 * 60)
    gratitude_lines: int = 2
    ranked_tasks: int = 3


class Place(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Degrees north and east, and an IANA time zone. Hidden coordinates are NaN; then no sun times are computed."""

    key: str
    name: str
    latitude: float
    longitude: float
    timezone: str


class Scale(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An ordinal scale, low to high, optionally with a word for each whole step."""

    low: float = 1
    high: float = 5
    words: tuple[str, ...] = ()

    def word(self, value: float) -> str:
        """The word for a value, or "" without one.

        >>> Scale(words=("heavy", "low", "even", "good", "bright")).word(4)
        'good'
        """
        step = float(value - self.low)
        return self.words[int(step)] if step.is_integer() and 0 <= step < len(self.words) else ""


class Category(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A category of hours. Exactly one category of a journal is sleep. A day with `work` hours is a work day."""

    key: str
    name: str
    colour: str = ""
    sleep: bool = False
    work: bool = False


class Habit(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One definition of a habit, in force from `start` to `until`.

    It is due by an RFC 5545 rule (`every`, counted from `start`) or by a quota (`times` per `per`), never both.
    A counted habit has a `target`. A later definition with the same key replaces it from its own start.
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
    """The days on which a definition of a habit is in force, both inclusive. Without an end, `last` is `date.max`.

    If another definition of the habit starts on the same day, the span is empty: `last` is before `first`.
    """

    habit: Habit
    first: dt.date
    last: dt.date


class Challenge(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A challenge: a tick on each day from `start` to `until`, optionally with one prompt per day."""

    key: str
    name: str
    start: dt.date = msgspec.field(name="from")
    until: dt.date
    prompts: tuple[str, ...] = ()


class Routine(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A task that recurs by an RFC 5545 rule. `estimate` is in minutes."""

    title: str
    every: str
    start: dt.date = msgspec.field(name="from")
    until: dt.date | None = None
    estimate: float | None = None


class Rest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Time off from `start` to `until`, for some habits or, without `habits`, for all. `reason` is private."""

    start: dt.date = msgspec.field(name="from")
    until: dt.date
    habits: tuple[str, ...] = ()
    reason: str = ""

    def covers(self, habit: str) -> bool:
        """Whether it is time off from a habit.

        >>> flu = Rest(start=dt.date(2025, 2, 11), until=dt.date(2025, 2, 16), habits=("walk",))
        >>> flu.covers("walk"), flu.covers("read")
        (True, False)
        """
        return not self.habits or habit in self.habits


class Trial(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A trial by lot: a habit is done on the days that `journal.lots` draws among the `days` days from `start`.

    `outcome` is "mood", "energy", "sleep" or the key of a counted habit, read `lag` days after. A pair of blocks of
    `block` days has one block on and one off. The first `washout` days of a block are left out of the result.

    `plan` is the digest of the plan as drawn (`lots.digest`). `looked` are the days on which the result was asked for
    before the end. From the day `stopped`, or `interrupted` for the sake of care, no day is drawn.
    """

    is_whole: ClassVar[bool] = True
    """A wrong value or a misspelt key drops the whole: with the default in its place, other days would be drawn."""

    key: str
    question: str
    habit: str
    outcome: str = "mood"
    lag: Literal[0, 1] = 0
    start: dt.date = msgspec.field(name="from")
    days: int
    block: int = 2
    washout: int = 0
    seed: int
    plan: str = ""
    looked: tuple[dt.date, ...] = ()
    stopped: dt.date | None = None
    interrupted: dt.date | None = None


class Prompts(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Prompts of the reflection, by kind of page."""

    week: tuple[str, ...] = ("What carried this week?", "What may go?")
    month: tuple[str, ...] = ("What held this month?", "What changes next month?")
    year: tuple[str, ...] = ("What was this year like?", "What goes with you into the next?")


class LineSettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """`stop_words`: words to ignore when words are compared, in addition to the English stop words."""

    stop_words: tuple[str, ...] = ()


DEFAULT_CATEGORIES = (
    Category(key="sleep", name="Sleep", colour="#332288", sleep=True),
    Category(key="work", name="Work", colour="#88CCEE", work=True),
    Category(key="home", name="Home", colour="#DDCC77"),
    Category(key="people", name="People", colour="#117733"),
)


class Settings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, dict=True):
    """The content of journal.toml. `hours` maps "usual" or a weekday to spans by category key.

    `calendars` names iCalendar files that are outside of the journal or have another suffix: "~/sync/work.ics".
    """

    title: str
    places: tuple[Place, ...]
    format: int = 1
    language: LanguageCode = "en"
    week_starts: Weekday = DEFAULT_WEEK_START
    clock: Literal[12, 24] = 24
    temperature: Literal["C", "F"] = "C"
    blank: Literal["breaks", "bridges"] = "breaks"
    unmarked: Unmarked = "missed"
    pictures: PictureKeeping = "cleaned"
    day: DaySettings = DaySettings()
    hours: dict[str, dict[str, tuple[Span, ...]]] = {}
    mood: Scale = Scale(words=("heavy", "low", "even", "good", "bright"))
    energy: Scale = Scale(words=("empty", "low", "steady", "strong", "full"))
    categories: tuple[Category, ...] = DEFAULT_CATEGORIES
    habits: tuple[Habit, ...] = ()
    challenges: tuple[Challenge, ...] = ()
    routines: tuple[Routine, ...] = ()
    rests: tuple[Rest, ...] = ()
    trials: tuple[Trial, ...] = ()
    prompts: Prompts = Prompts()
    calendars: tuple[str, ...] = ()
    lines: LineSettings = LineSettings()

    @property
    def habit_keys(self) -> tuple[str, ...]:
        """The keys of all habits, in order of first definition."""
        return tuple(dict.fromkeys(habit.key for habit in self.habits))

    def definitions(self, key: str) -> tuple[Habit, ...]:
        """The definitions of one habit, oldest first."""
        return tuple(sorted((h for h in self.habits if h.key == key), key=lambda h: h.start))

    @cached_property
    def habit_spans(self) -> dict[str, tuple[HabitSpan, ...]]:
        """The spans of all definitions by habit key, oldest first. A later definition replaces the earlier one from its
        first day, and the earlier one does not come back when the later one ends."""
        return {key: tuple(_spans(self.definitions(key))) for key in self.habit_keys}

    def habit_on(self, key: str, day: dt.date) -> Habit | None:
        """The definition of a habit in force on a day. None before the first, after an end, and for an unknown key.

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

    def is_off(self, habit: str, day: dt.date) -> bool:
        """Whether a day lies in time off from a habit."""
        return any(rest.start <= day <= rest.until and rest.covers(habit) for rest in self.rests)

    def habit_name(self, key: str) -> str:
        """The latest name of a habit, or its key if the journal does not define it."""
        return next((h.name for h in reversed(self.definitions(key))), key)

    @property
    def asleep(self) -> str:
        """The key of the sleep category, or "" without one."""
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
        """The colour of a category: its own, else the next colour of Tol's muted scheme that no category uses."""
        unset = [c.key for c in self.categories if not c.colour]
        free = [c for c in TOL_MUTED if c not in {own.colour.upper() for own in self.categories}] or TOL_MUTED
        own = next((c.colour for c in self.categories if c.key == category and c.colour), None)
        return own or free[unset.index(category) % len(free)]


def _spans(definitions: Sequence[Habit]) -> Iterator[HabitSpan]:
    ends = [later.start - dt.timedelta(days=1) for later in definitions[1:]] + [dt.date.max]
    for habit, end in zip(definitions, ends, strict=False):  # without definitions, ends still has one item
        yield HabitSpan(habit, habit.start, min(end, habit.until or dt.date.max))


def keys(parts: Iterable[Place | Category | Challenge]) -> tuple[str, ...]:
    """The keys of places, categories or challenges, in order."""
    return tuple(part.key for part in parts)
