"""The values that the form of a review shows: prompts with their answers, notes, and the reason if it is closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from journal.errors import JournalError
from journal.folder import reading
from journal.language.catalogue import _
from journal.periods import Period
from journal.reviews import questions as answered
from journal.saving import base_pages
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal


class QuestionOffer(msgspec.Struct, frozen=True, kw_only=True):
    """A prompt and its answer. The form sends `ref` back; `asked` is true if journal.toml asks the prompt now."""

    ref: str
    prompt: str
    answer: str
    asked: bool


class ReviewOffer(msgspec.Struct, frozen=True, kw_only=True):
    """The review of a period, from its page at `path`.

    `closed` is the reason why it cannot be written, `prompts_closed` the reason why its prompts cannot be changed. Both
    are normally empty. `problems` are those of a page that can be written all the same.
    """

    period: str
    kind: str
    title: str
    path: str
    base: str
    closed: str
    prompts_closed: str
    questions: list[QuestionOffer]
    notes: list[str]
    problems: list[str]


def offer(book: Journal, period: Period) -> ReviewOffer:
    """Return the review of a week, month or year.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> from journal import periods
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 13))
    >>> page = offer(book, periods.parse("2025-W11", week_starts="monday"))
    >>> page.path, [question.prompt for question in page.questions]
    ('2025/2025-W11.toml', ['What carried this week?', 'What may go?'])
    >>> offer(book, periods.parse("2025-W12", week_starts="monday")).closed
    'This week is still to come. It can be written from Monday 17 March 2025 on.'
    >>> folder.cleanup()
    """
    page, settings = book.files.pages.look(period.key), book.files.basis.base
    asked, prompts_closed = answered.default_prompts(period.kind), ""
    try:
        asked = answered.prompts_of(settings, period.kind)
        answered.refuse_if_broken(settings)
    except JournalError as error:
        prompts_closed = f"{error}."
    closed = _to_come(book, period)
    found: list[answered.Question] = []
    notes: list[str] = []
    try:
        tables, written = answered.tables_of(page), answered.notes_of(page)
        found = answered.questions(asked, tables)
        notes = [note for note in map(answered.words, written) if note]
    except JournalError as error:
        closed = f"{error}."
    problems = [] if page.data is None or closed else reading.read_base(page, book.files.basis.known)[1]
    return ReviewOffer(
        period=period.key,
        kind=period.kind,
        title=dates.title(period),
        path=page.path,
        base=base_pages.packed((page, settings)),
        closed=closed,
        prompts_closed=prompts_closed,
        questions=[QuestionOffer(ref=q.ref, prompt=q.prompt, answer=q.answer, asked=q.asked) for q in found],
        notes=notes,
        problems=[f"{problem}." for problem in problems],
    )


def _to_come(book: Journal, period: Period) -> str:
    if period.first <= book.today:
        return ""
    day = dates.day(period.first, year=True)
    match period.kind:
        case "week":
            return _("This week is still to come. It can be written from {day} on.", day=day)
        case "month":
            return _("This month is still to come. It can be written from {day} on.", day=day)
        case "year":
            return _("This year is still to come. It can be written from {day} on.", day=day)
    return _("This day is still to come. It can be written from {day} on.", day=day)
