"""The save of a decision about a habit: to journal.toml, where it takes effect, and to the page of the month.

The page of the month names a decision only while journal.toml has its effect: the word is written last, and removed
first. The days of an effect are written before it, and removed after it. So if a save stops between two writes, no page
names what journal.toml does not have, and the save can be repeated or taken back. A decision that replaces another one
takes that back first.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, get_args

import msgspec

from journal import periods
from journal.entry import Decision, DecisionDates
from journal.errors import JournalError, UsageError
from journal.folder.page_versions import SETTINGS
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.periods import Period
from journal.saving import base_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues
from journal.saving.save_pages import ChangeSet, PagesSave, PageWrite, SaveResult
from journal.setup import decision_effects, decision_form
from journal.setup.changed_definition import ChangedDefinition, entered
from journal.setup.settings_tables import SettingsTables
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal

DecisionChoice = Literal[Decision, "back"]
_CHOICES: tuple[DecisionChoice, ...] = (*get_args(Decision), "back")


def decide(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Save one decision: {"base" and "period" of the offer, "habit", "what"}, and its values.

    "what" is keep, change, rest, drop, or back to take the decision back. A rest has "from" and "until", a drop
    "until", a change "from", "schedule", "target", "unit" and "aim". Another decision replaces the one before.

    >>> import journal, pathlib, tempfile
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 31, 21, 4, tzinfo=dt.UTC)
    >>> settings = pathlib.Path(folder.name, "journal.toml")
    >>> _ = settings.write_text('[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 31))
    >>> march = decision_form.offer(book, periods.parse("2025-03", week_starts="monday"))
    >>> sent = {"base": march.base, "period": march.period, "habit": "walk", "what": "drop", "until": "2025-03-31"}
    >>> decide(book, sent, now=now).said
    'Saved to 2025/2025-03.toml and journal.toml at 21:04.'
    >>> settings.read_text().splitlines()[-1]
    'until = 2025-03-31'
    >>> folder.cleanup()
    """
    form = FormValues()
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("the form has sent no decision; open the page anew"))
        pages = Pages(base_pages.submitted(raw.get("base"), book.files.pages), book.files.pages.current)
        result = _Decided(book, raw, form, pages, now).save()
        return msgspec.structs.replace(result, undo="")  # it may be of the last of two; `back` takes a decision back
    except JournalError as error:
        form.report("", f"{_capital(str(error))}.")
        return SaveResult(saved=False, problems=form.troubles)


class _Decided:
    """One decision as it was sent, on versions of the two pages."""

    def __init__(self, book: Journal, raw: Mapping[str, Any], form: FormValues, pages: Pages, now: dt.datetime) -> None:
        self.book, self.raw, self.form, self.pages, self.now = book, raw, form, pages, now
        self.month = _month(raw.get("period"), book)
        self.tables = SettingsTables(self.pages.base(SETTINGS).values)
        self.habit = self._habit(raw.get("habit"))
        self.what: DecisionChoice = form.word(raw.get("what"), "what", _CHOICES)
        review = decision_form.review_of(book, self.pages.base(self.month.key))
        self.named = review.decisions.get(self.habit)
        self.before, self.days_before = decision_effects.recorded(review, self.habit)

    def _habit(self, key: object) -> str:
        if not isinstance(key, str) or key not in self.book.settings.habit_keys:
            raise UsageError(_("this habit is no longer in journal.toml; open the page anew"))
        return key

    def save(self) -> SaveResult:
        if self.before is not None:
            decision_effects.take_back(self.tables, self.habit, self.before, self.days_before)
        taken_back = PageWrite(SETTINGS, self.tables.changes)
        days = self._apply()
        if self.form.troubles:
            return SaveResult(saved=False, problems=self.form.troubles)
        if days is None:
            return self._take_back(taken_back)
        steps = [
            PageWrite(self.month.key, self._days(days)),
            PageWrite(SETTINGS, self.tables.changes),
            PageWrite(self.month.key, self._word(self.what) | self._days(days)),
        ]
        if not taken_back.changes and self.named in (None, self.what):
            return self._decide(steps)
        failed = self._pages_save().rehearse(steps)
        removed = failed or self._take_back(taken_back)
        if not removed.saved:
            return removed
        pages = Pages((), self.book.files.pages.current)
        return _Decided(self.book, self.raw, self.form, pages, self.now).save()

    def _decide(self, steps: Sequence[PageWrite]) -> SaveResult:
        saving = self._pages_save()
        result = saving.save([step for step in steps if step.changes])
        is_in_force = any(after.key == SETTINGS for _before, after in saving.replaced)
        if result.saved or not saving.written or self.before is not None or is_in_force:
            return result
        # The days of an effect that could not be written leave the page again, if there is still a page to write.
        try:
            self.pages.bases[self.month.key] = self.book.files.pages.current(self.month.key)
        except JournalError:
            return result
        removed = self._write([PageWrite(self.month.key, self._days(None))])
        return msgspec.structs.replace(result, said="") if removed.saved else result

    def _take_back(self, of_journal: PageWrite) -> SaveResult:
        word, days = PageWrite(self.month.key, self._word(None)), PageWrite(self.month.key, self._days(None))
        return self._write([word, of_journal, days])

    def _write(self, steps: Sequence[PageWrite]) -> SaveResult:
        return self._pages_save().save([step for step in steps if step.changes])

    def _pages_save(self) -> PagesSave:
        return PagesSave(self.book.files, self.pages, self.raw, field=_field, now=self.now, by="month")

    def _apply(self) -> DecisionDates | None:
        """Apply the decision to the tables of journal.toml. Return its days, None with a problem or if taken back."""
        match self.what:
            case "keep":
                return DecisionDates()
            case "rest":
                return self._rest()
            case "drop":
                return self._drop()
            case "change":
                return self._change()
            case _:
                return None

    def _rest(self) -> DecisionDates | None:
        first, last = self._day("from", self.month.last), self._day("until", self.month.last)
        if first is None or last is None:
            return None
        if last < first:
            self.form.report("until", _("Expected a day from {first} on; choose a later one.", first=_date(first)))
            return None
        return self._effect("until", lambda: decision_effects.rest(self.tables, self.habit, first, last))

    def _drop(self) -> DecisionDates | None:
        last = self._day("until", self.month.first - dt.timedelta(days=1))
        if last is None:
            return None
        return self._effect("until", lambda: decision_effects.end(self.tables, self.habit, last))

    def _change(self) -> DecisionDates | None:
        first = self._day("from", self.month.last)
        changed = None if first is None else self._entered(first)
        if changed is None:
            return None
        return self._effect(
            "from", lambda: decision_effects.change(self.tables, self.habit, changed.start, changed.values)
        )

    def _entered(self, first: dt.date) -> ChangedDefinition | None:
        table = self.tables.definition_on(self.habit, first - dt.timedelta(days=1))
        definitions = self.book.settings.definitions(self.habit)
        start = None if table is None else table["from"]
        before = next((one for one in definitions if one.start == start), None)
        if before is None:
            raise UsageError(_("this habit was changed elsewhere meanwhile; look it over, then decide again"))
        return entered(self.form, self.raw, before, first, week_starts=self.book.settings.week_starts)

    def _effect(self, field: str, apply: Any) -> DecisionDates | None:
        try:
            days: DecisionDates = apply()
        except UsageError as error:
            self.form.report(field, f"{_capital(str(error))}.")
            return None
        return days

    def _day(self, field: str, after: dt.date) -> dt.date | None:
        """The entered day, later than another."""
        problems_before = len(self.form.troubles)
        day = self.form.date(self.raw.get(field), field)
        if day is None and len(self.form.troubles) == problems_before:
            self.form.report(field, _("The day is missing; choose one."))
        if day is not None and day <= after:
            earliest = after + dt.timedelta(days=1)
            expected = _(
                "Expected a day from {first} on, got {day}; choose a later one.", first=_date(earliest), day=_date(day)
            )
            self.form.report(field, expected)
            return None
        return day

    def _word(self, what: str | None) -> ChangeSet:
        return self._recorded("decisions", what)

    def _days(self, days: DecisionDates | None) -> ChangeSet:
        written = {} if days is None else msgspec.to_builtins(days, builtin_types=(dt.date,))
        return self._recorded("decision_dates", {name: day for name, day in written.items() if day is not None} or None)

    def _recorded(self, name: str, value: Any) -> ChangeSet:
        """The change of one of the month's two tables: the value of the habit, or with None its removal."""
        if value is not None:
            return {(name, self.habit): value}
        table = self.pages.base(self.month.key).values.get(name, {})
        if not isinstance(table, Mapping) or self.habit not in table:
            return {}
        return {((name,) if len(table) == 1 else (name, self.habit)): REMOVE}


def _month(key: object, book: Journal) -> Period:
    month = periods.parse(str(key), "month", week_starts=book.settings.week_starts)
    if month.first > book.today:
        raise UsageError(_("{month} is still to come; decide when it has begun", month=dates.period(month)))
    return month


def _field(key: str, path: Sequence[str | int]) -> str:
    """The field of the form for a path in one of the two pages."""
    name = str(path[-1]) if len(path) > 1 else ""
    if key != SETTINGS:
        return ""
    return name if name in ("from", "until", "target", "unit", "aim") else "schedule.pattern" if name == "every" else ""


def _date(day: dt.date) -> str:
    return dates.day(day, weekday=False, year=True)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
