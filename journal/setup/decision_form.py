"""The values that the decisions of a month show: each habit's month, what was decided, and the days proposed."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import msgspec
import polars as pl

from journal.entry import Decision, DecisionDates, Review
from journal.errors import JournalError
from journal.folder import reading
from journal.folder.page_versions import Base
from journal.language.catalogue import _, _p
from journal.periods import Period
from journal.saving import base_pages
from journal.settings import Habit
from journal.setup import (
    change_proposals,
    changed_schedule,
    coming_days,
    decision_days,
    decision_effects,
    habit_words,
    schedule_fields,
)
from journal.setup.change_proposals import ProposedChange
from journal.setup.schedule_fields import ScheduleFields
from journal.setup.settings_tables import SettingsTables
from journal.wording import dates, rules

if TYPE_CHECKING:
    from journal import Journal

_DAY = dt.timedelta(days=1)
_SOON = dt.timedelta(days=62)  # what comes later is not what a month is decided for


class ChangeProposal(msgspec.Struct, frozen=True, kw_only=True):
    """The definition that a change starts from. `other_words` is the text of a rule that no pattern expresses."""

    first: dt.date
    schedule: ScheduleFields
    other_words: str
    target: float | None
    unit: str
    aim: str


class ReadyChange(msgspec.Struct, frozen=True, kw_only=True):
    """A change that one press saves: in words, with its first due days, and what it was worked out from."""

    said: str
    coming: str
    because: str
    schedule: ScheduleFields
    target: float | None


class HabitDecision(msgspec.Struct, frozen=True, kw_only=True):
    """A habit of the month, and what was decided. Its days and numbers stand in the grid of the month.

    `said` is the decision in words, `note` what else journal.toml says of the weeks after the month. `rest_closed` is
    why it cannot rest, empty if it can. `ready` are the changes that its record proposes,
    from the day `first`.
    """

    key: str
    name: str
    schedule: str
    decision: Decision | None
    can_be_taken_back: bool
    said: str
    note: str
    first: str
    rest_from: dt.date
    rest_until: dt.date
    rest_closed: str
    last: dt.date
    proposal: ChangeProposal
    ready: list[ReadyChange]


class DecisionsOffer(msgspec.Struct, frozen=True, kw_only=True):
    """The decisions of a month. `closed` is why none can be made, normally empty. `late` says what follows from it."""

    period: str
    base: str
    closed: str
    late: str
    habits: list[HabitDecision]


def offer(book: Journal, month: Period) -> DecisionsOffer:
    """Return the decisions of a month. Its habits are those in force on a day of it.

    >>> import journal, pathlib, tempfile
    >>> from journal import periods
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text(
    ...         '[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01')
    ...     book = journal.open(folder, today=dt.date(2025, 3, 31))
    ...     (walk,) = offer(book, periods.parse("2025-03", week_starts="monday")).habits
    >>> walk.schedule, walk.decision, str(walk.rest_from), str(walk.last)
    ('every day', None, '2025-04-01', '2025-03-31')
    """
    page, settings = book.files.pages.look(month.key), book.files.basis.base
    offered: list[HabitDecision] = []
    closed = "" if month.first <= book.today else _("{month} is still to come.", month=dates.period(month))
    try:
        tables, review = SettingsTables(settings.values), review_of(book, page)
        offered = [] if closed else _MonthOfHabits(book, month, tables, review).habits()
    except JournalError as error:
        closed = f"{error}."
    return DecisionsOffer(
        period=month.key,
        base=base_pages.packed((page, settings)),
        closed=closed,
        late=decision_days.late(month, book.today),
        habits=offered,
    )


def review_of(book: Journal, page: Base) -> Review:
    """Return the content of a version of a month's page, without invalid values. Raises WriteError if it is broken."""
    page.values  # noqa: B018 - reads it
    read = reading.read_base(page, book.files.basis.known)[0] if page.data is not None else None
    content = Review() if read is None else read.content
    assert isinstance(content, Review)
    return content


class _MonthOfHabits:
    def __init__(self, book: Journal, month: Period, tables: SettingsTables, review: Review) -> None:
        self.book, self.month, self.tables, self.review = book, month, tables, review
        self.settings, self.proposed = book.settings, decision_days.proposed(month, book.today)

    def habits(self) -> list[HabitDecision]:
        spans = self.settings.habit_spans.items()
        in_force = {
            key: held[-1].habit
            for key, definitions in spans
            if (
                held := [
                    span for span in definitions if span.first <= self.month.last and span.last >= self.month.first
                ]
            )
        }
        return [self.habit(key, definition) for key, definition in in_force.items()]

    def habit(self, key: str, definition: Habit) -> HabitDecision:
        decision = self.review.decisions.get(key)
        recorded, days = decision_effects.recorded(self.review, key)
        has_effect = recorded is not None and decision_effects.stands(self.tables, key, recorded, days)
        return HabitDecision(
            key=key,
            name=self.settings.habit_name(key),
            schedule=habit_words.words(definition),
            decision=decision,
            can_be_taken_back=decision is not None or has_effect,
            said="" if recorded is None else self.said(key, recorded, days, has_effect, decision is not None),
            note=self.note(key, days if has_effect else DecisionDates()),
            first=_date(self.proposed.first),
            rest_from=self.proposed.first,
            rest_until=self.proposed.rest_until,
            rest_closed=self.rest_closed(key),
            last=self.proposed.last,
            proposal=self.proposal(definition),
            ready=self.ready(definition),
        )

    def said(self, key: str, decision: Decision, days: DecisionDates, has_effect: bool, is_named: bool) -> str:
        if not has_effect:
            if not is_named:
                return ""
            word = _decision(decision)
            if days.until or days.start:
                return _("Noted here as “{decision}”; journal.toml has it otherwise by now.", decision=word)
            return _("Noted here as “{decision}”, without a day.", decision=word)
        match decision:
            case "keep":
                words = _("Kept as it is.")
            case "change":
                assert days.start is not None
                words = _from(days.start, self.definition_words(key, days.start))
            case "rest":
                assert days.start is not None and days.until is not None
                words = _("Rests {days}.", days=dates.stretch(days.start, days.until))
            case _:
                assert days.until is not None
                words = _("Ends on {date}.", date=_date(days.until))
        if is_named:
            return words
        return _("{said} This was begun and not finished: decide again, or take it back.", said=words)

    def definition_words(self, key: str, start: dt.date) -> str:
        definition = next((one for one in self.settings.definitions(key) if one.start == start), None)
        return _("as journal.toml has it") if definition is None else habit_words.words(definition)

    def note(self, key: str, days: DecisionDates) -> str:
        """What journal.toml says of the weeks after the month, beside the effect with those days."""
        definitions, soon = self.settings.definitions(key), self.month.last + _SOON
        later = [one for one in definitions if self.month.last < one.start <= soon and one.start != days.start]
        parts = [_from(one.start, habit_words.words(one)) for one in later]
        end = definitions[-1].until
        is_near = end is not None and end <= soon and not (days.start is None and end == days.until)
        parts += [_("Ends on {date}.", date=_date(end))] if end is not None and is_near else []
        return " ".join(parts)

    def rest_closed(self, key: str) -> str:
        end = self.settings.definitions(key)[-1].until
        return _("It ends on {date}.", date=_date(end)) if end is not None and end < self.proposed.first else ""

    def proposal(self, definition: Habit) -> ChangeProposal:
        schedule = schedule_fields.of(definition, week_starts=self.settings.week_starts)
        is_other = schedule.pattern == "other"
        return ChangeProposal(
            first=self.proposed.first,
            schedule=schedule,
            other_words=rules.words(schedule.rule, definition.start) if is_other else "",
            target=definition.target,
            unit=definition.unit,
            aim=definition.aim,
        )

    def ready(self, definition: Habit) -> list[ReadyChange]:
        """The changes that the last weeks propose, from the proposed day on."""
        until = min(self.month.last, self.book.today)
        first = max(definition.start, until - dt.timedelta(weeks=change_proposals.WEEKS) + _DAY)
        here = pl.col("date").is_between(first, until)
        record = self.book.states.lazy().filter(pl.col("habit") == definition.key, here).collect()
        found = change_proposals.proposals(definition, record, week_starts=self.settings.week_starts)
        return [self.in_words(definition, change) for change in found]

    def in_words(self, before: Habit, change: ProposedChange) -> ReadyChange:
        fields, week_starts = change.schedule, self.settings.week_starts
        keys, start = changed_schedule.from_day(before, fields, self.proposed.first, week_starts=week_starts)
        last = changed_schedule.last_day(self.settings.definitions(before.key), before, start)
        after = msgspec.structs.replace(before, start=start, target=change.target, **keys._asdict())
        return ReadyChange(
            said=_capital(habit_words.words(after)),
            coming=coming_days.listed(keys, start, first=start, until=last),
            because=change.because,
            schedule=fields,
            target=change.target,
        )


def _decision(decision: Decision) -> str:
    match decision:
        case "keep":
            return _p("decision on a habit", "keep")
        case "change":
            return _p("decision on a habit", "change")
        case "rest":
            return _p("decision on a habit", "rest")
        case "drop":
            return _p("decision on a habit", "drop")


def _from(day: dt.date, words: str) -> str:
    return _("From {date}: {habit}.", date=_date(day), habit=words)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)
