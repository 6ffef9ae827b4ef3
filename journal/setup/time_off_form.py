"""The time off of a journal as a list to edit: the [[rests]] of journal.toml."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any, Literal

import msgspec

from journal.errors import JournalError
from journal.folder import typed_values
from journal.folder.identity import identities
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.settings import Rest
from journal.setup.settings_tables import SettingsTables
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

RECENT_DAYS = 60
"""A habit that ended longer ago is not offered for new time off."""

When = Literal["now", "ahead", "over"]


class NamedHabit(msgspec.Struct, frozen=True, kw_only=True):
    """A habit to choose."""

    key: str
    name: str


class RestOffer(msgspec.Struct, frozen=True, kw_only=True):
    """A time off. The form sends `ref` back. `habits` are keys, none for all; `said` is it in words."""

    ref: str
    first: dt.date
    until: dt.date
    habits: tuple[str, ...]
    reason: str
    when: When
    said: str


class TimeOffOffer(msgspec.Struct, frozen=True, kw_only=True):
    """All time off, the current and coming first. `closed` is why it cannot be edited, normally empty."""

    today: dt.date
    base: str
    closed: str
    summary: str
    rests: list[RestOffer]
    habits: list[NamedHabit]


def offer(book: Journal) -> TimeOffOffer:
    """Return the time off of a journal.

    >>> import journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text("[[rests]]\\nfrom = 2025-03-10\\nuntil = 2025-03-16")
    ...     shown = offer(journal.open(folder, today=dt.date(2025, 3, 13)))
    >>> shown.summary, shown.rests[0].said
    ('now, until 16 March', '10 to 16 March 2025, all habits')
    """
    base, rests, closed = book.files.basis.base, [], ""
    try:
        tables = SettingsTables(base.values).rests
        refs = identities("rests", tables)
        rests = [_rest(book, ref, rest) for ref, table in zip(refs, tables, strict=True) if (rest := _typed(table))]
    except JournalError as error:
        closed = f"{error}."
    order = {"now": 0, "ahead": 1, "over": 2}
    rests.sort(key=lambda rest: rest.first, reverse=True)
    rests.sort(key=lambda rest: order[rest.when])
    return TimeOffOffer(
        today=book.today,
        base=base_pages.packed((base,)),
        closed=closed,
        summary=_summary(rests, book.today),
        rests=rests,
        habits=[NamedHabit(key=key, name=book.settings.habit_name(key)) for key in _offered(book)],
    )


def _typed(table: dict[str, Any]) -> Rest | None:
    """The time off in a table, or None for an invalid one, which the page lists as a problem."""
    try:
        rest = typed_values.typed(table, Rest)
    except (msgspec.ValidationError, ValueError):
        return None
    return rest if rest.start <= rest.until else None


def _rest(book: Journal, ref: str, rest: Rest) -> RestOffer:
    today = book.today
    when: When = "over" if rest.until < today else "ahead" if rest.start > today else "now"
    names = numbers.listed(map(book.settings.habit_name, rest.habits)) if rest.habits else _("all habits")
    return RestOffer(
        ref=ref,
        first=rest.start,
        until=rest.until,
        habits=rest.habits,
        reason=rest.reason,
        when=when,
        said=f"{dates.stretch(rest.start, rest.until)}, {names}",
    )


def _summary(rests: list[RestOffer], today: dt.date) -> str:
    """What a folded list says: the time off that runs, or the next one."""
    running = [rest for rest in rests if rest.when == "now"]
    if running:
        last = max(rest.until for rest in running)
        return _("now, until {date}", date=dates.day(last, weekday=False, year=last.year != today.year))
    ahead = [rest.first for rest in rests if rest.when == "ahead"]
    first = min(ahead, default=None)
    if first is None:
        return ""
    return _("from {date}", date=dates.day(first, weekday=False, year=first.year != today.year))


def _offered(book: Journal) -> list[str]:
    """The habits to choose from, without those that ended long ago."""
    since = book.today - dt.timedelta(days=RECENT_DAYS)
    return [key for key, spans in book.settings.habit_spans.items() if any(span.last >= since for span in spans)]
