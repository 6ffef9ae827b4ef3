"""The save of a review: answers and notes go to the page of the period, changed prompts to journal.toml.

The page is written first. Each answer is saved with its prompt, so a save that stops between the two files loses
nothing and can be repeated.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import msgspec
from msgspec import UNSET

from journal import periods
from journal.errors import JournalError, UsageError
from journal.folder.identity import TomlTable, identities
from journal.folder.page_versions import SETTINGS
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.periods import Period
from journal.reviews import questions as answered
from journal.reviews.questions import Question, one_line
from journal.saving import base_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues
from journal.saving.save_pages import ChangeSet, PagesSave, PageWrite, SaveResult

if TYPE_CHECKING:
    from journal import Journal

_KINDS = ("week", "month", "year")
_KEYS = {"prompt", "answer"}


class AnswerEntered(msgspec.Struct, frozen=True, kw_only=True):
    """An entered answer. `question` is the question of the base page that it answers, None for a new prompt."""

    position: int
    question: Question | None
    prompt: str
    text: str


def save(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Save a review: {"base" and "period" of the offer, "prompts": [text], "answers": [{"ref", "prompt", "answer"}],
    "notes": [text]}.

    Answers are in the order of the form. Omitted answers, prompts and notes stay unchanged. Fields of problems are
    named "answers.0.answer", "prompts.0" and "notes.0".

    >>> import journal, pathlib, tempfile
    >>> from journal.reviews.review_form import offer
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 3, 16, 21, 4, tzinfo=dt.UTC)
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> book = journal.open(folder.name, today=dt.date(2025, 3, 16))
    >>> page = offer(book, periods.parse("2025-W11", week_starts="monday"))
    >>> answer = {"ref": "What may go?", "prompt": "What may go?", "answer": "The stock count."}
    >>> save(book, {"base": page.base, "period": page.period, "answers": [answer]}, now=now).said
    'Saved to 2025/2025-W11.toml at 21:04.'
    >>> print(pathlib.Path(folder.name, "2025", "2025-W11.toml").read_text().strip())
    [[reflection]]
    prompt = "What may go?"
    answer = "The stock count."
    >>> folder.cleanup()
    """
    fields = FormValues()
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("the form has sent no review; open the page anew"))
        period = _period(raw.get("period"), book)
        pages = Pages(base_pages.submitted(raw.get("base"), book.files.pages), book.files.pages.current)
        page, tables = pages.base(period.key), answered.tables_of(pages.base(period.key))
        found = answered.questions(_asked(pages, period), tables)
        entered = _answers(raw, found, fields)
        changes = _reflection(entered, tables) | _notes(raw, answered.notes_of(page), fields)
        steps = [PageWrite(period.key, changes), PageWrite(SETTINGS, _prompts(raw, pages, period, fields))]
    except JournalError as error:
        fields.report("", f"{error}.")
    if fields.troubles:
        return SaveResult(saved=False, problems=fields.troubles)
    field = _FieldOfReview(period, found, entered, tables)
    save = PagesSave(book.files, pages, raw, field=field, now=now, by=period.kind)
    return save.save([step for step in steps if step.changes])


def _period(key: object, book: Journal) -> Period:
    period = periods.parse(str(key), week_starts=book.settings.week_starts)
    if period.kind not in _KINDS:
        raise UsageError(_("{period} is a day, which has no review; open a week, month or year", period=key))
    if period.first > book.today:
        raise UsageError(_("{period} is still to come; write it when it has begun", period=key))
    return period


def _asked(pages: Pages, period: Period) -> list[str]:
    """Return the prompts that the form has asked."""
    try:
        return answered.prompts_of(pages.base(SETTINGS), period.kind)
    except JournalError:  # the form has shown the problem; answers can be saved all the same
        return answered.default_prompts(period.kind)


def _answers(raw: Mapping[str, Any], found: Sequence[Question], fields: FormValues) -> list[AnswerEntered]:
    """Return the entered answers, validated."""
    by_ref = {question.ref: question for question in found}
    entered: list[AnswerEntered] = []
    for i, row in fields.tables(raw.get("answers"), "answers"):
        question = by_ref.pop(fields.name(row.get("ref"), f"answers.{i}.ref") or "", None)
        if question is not None and row.get("answer") == question.answer:
            text: Any = question.answer  # unchanged, so any character of the file is accepted
        else:
            text = fields.text(row, "answer", f"answers.{i}")
        prompt = fields.text(row, "prompt", f"answers.{i}")
        if text is UNSET:
            continue
        prompt = one_line(prompt or "") or (question.prompt if question else "")
        if text and not prompt:
            fields.report(f"answers.{i}", _("This answer has no prompt; write one."))
        entered.append(AnswerEntered(position=i, question=question, prompt=prompt, text=text))
    return entered


def _reflection(entered: Sequence[AnswerEntered], tables: Sequence[TomlTable]) -> ChangeSet:
    """Return the change of the [[reflection]] tables. A new table goes in the order of the prompts."""
    rows: list[tuple[int | None, dict[str, Any]]] = [(i, dict(table)) for i, table in enumerate(tables)]
    changed, place = False, None
    for i, one in enumerate(entered):
        row = one.question.row if one.question else None
        if one.text != (one.question.answer if one.question else ""):
            changed = True
            if row is None:
                place = _first_of(entered[i:], rows) if place is None else place
                rows.insert(place, (None, {"prompt": one.prompt, "answer": one.text}))
                place += 1
                continue
            _answer(rows, row, one.text)
        at = _place(rows, row)
        place = place if at is None else at + 1
    if not changed:
        return {}
    return {("reflection",): [table for _row, table in rows] or REMOVE}


def _answer(rows: list[tuple[int | None, dict[str, Any]]], row: int, text: str) -> None:
    """Set the answer of a table. A table without an answer is removed, unless it has unknown keys."""
    at = _place(rows, row)
    assert at is not None, "each table is answered once"
    table = rows[at][1]
    if text:
        table["answer"] = text
    elif set(table) <= _KEYS:
        del rows[at]
    else:
        table.pop("answer", None)


def _place(rows: Sequence[tuple[int | None, dict[str, Any]]], row: int | None) -> int | None:
    return next((at for at, (i, _table) in enumerate(rows) if row is not None and i == row), None)


def _first_of(entered: Sequence[AnswerEntered], rows: Sequence[tuple[int | None, dict[str, Any]]]) -> int:
    """Return the position of the first table that answers have, the end if they have none."""
    places = (_place(rows, one.question.row) for one in entered if one.question)
    return next((at for at in places if at is not None), len(rows))


def _notes(raw: Mapping[str, Any], notes: Sequence[str], fields: FormValues) -> ChangeSet:
    before = [note for note in map(answered.words, notes) if note]
    if raw.get("notes") == before:
        return {}
    entered = fields.lines(raw, "notes")
    return {} if entered is UNSET or entered == before else {("notes",): entered or REMOVE}


def _prompts(raw: Mapping[str, Any], pages: Pages, period: Period, fields: FormValues) -> ChangeSet:
    """Return the change of journal.toml. Unchanged prompts keep their exact text."""
    entered = fields.lines(raw, "prompts")
    if entered is UNSET:
        return {}
    lines = [line for line in map(one_line, entered) if line]
    before = {one_line(prompt): prompt for prompt in _asked(pages, period)}
    if lines == [line for line in map(one_line, _asked(pages, period)) if line]:
        return {}
    answered.prompts_of(pages.base(SETTINGS), period.kind)  # raises if they cannot be changed
    answered.refuse_if_broken(pages.base(SETTINGS))
    return {("prompts", period.kind): [before.get(line, line) for line in lines]}


class _FieldOfReview:
    """Function from a file's key and a path in it to the form field."""

    def __init__(
        self, period: Period, found: Sequence[Question], entered: Sequence[AnswerEntered], tables: Sequence[TomlTable]
    ) -> None:
        self.period, self.entered = period, entered
        self.names = identities("reflection", tables)

    def __call__(self, key: str, path: Sequence[str | int]) -> str:
        if key == SETTINGS:
            return "prompts" if [*path[:2]] == ["prompts", self.period.kind] else ""
        if len(path) < 2 or path[0] != "reflection":
            return str(path[0]) if path else ""
        return next((f"answers.{one.position}" for one in self.entered if path[1] == self._name(one)), "")

    def _name(self, one: AnswerEntered) -> str:
        row = one.question.row if one.question else None
        return one.prompt if row is None else self.names[row]
