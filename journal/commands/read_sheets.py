"""The work of `duskbook read`: print what was read of sheets, ask what is not clear, and write only after a yes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import msgspec

import journal
from journal import Journal
from journal.commands import clock, import_files, terminal, terminal_questions
from journal.commands.import_files import print_some
from journal.commands.open_journal import mention_settings
from journal.commands.usage_errors import FINE, PROBLEMS, WRONG_USAGE, say
from journal.errors import UsageError
from journal.importing.model import Unfit
from journal.language.catalogue import _, _n
from journal.paper import doubts, field_lines, handwriting, photographs, sheet_fields, sheet_import, sheet_reader
from journal.paper.photographs import PhotographsRead
from journal.paper.sheet_fields import FieldKey, FieldRead, FieldValue
from journal.paper.sheet_import import StandingField
from journal.wording import numbers

MOST_QUESTIONS = 30
"""Most questions of one run. The answers stand on the pages by the next run, which asks the rest."""

_TRIES = 3  # at an answer that cannot be read


def read(folder: Path, photos: Sequence[Path], *, yes: bool, dry_run: bool, form: str, keep_lines: bool) -> int:
    """Read the sheets in pictures. Returns the exit code.

    Raises UsageError if there is one picture, and it has no sheet.
    """
    book = journal.open(folder, today=clock.today)
    mention_settings(book.files)
    found = photographs.read(book, photos, progress=_show_reading, with_lines=keep_lines)
    terminal.show_step("")
    if not found.sheets and len(found.told) == 1:
        raise UsageError(found.told[0])
    for sentence in found.told:
        say(f"duskbook: {sentence}", err=True)
    is_data = form == "json"
    standing = sheet_import.standing(book, found.fields)
    if is_data:
        terminal.print_data(_as_json(found, standing))
    if not found.sheets:
        return WRONG_USAGE
    if not is_data:
        print_some(_headlines(found))
        print_some(field_lines.lines(found))
    asked = [field.read for field in standing if field.is_asked]
    answers = _answers(book, asked, may_ask=not (yes or dry_run) and import_files.is_terminal(), err=is_data)
    given = [field.settled(answers) for field in standing]
    names = {sheet.picture.name for sheet, _fields in found.sheets}
    values = sheet_import.imported(book, names.pop() if len(names) == 1 else _("the sheets"), given)
    code = PROBLEMS if found.told or len(answers) < len(asked) else FINE

    def also() -> None:
        print_some(handwriting.keep(book, found.lines, now=clock.now()), err=is_data)

    return max(code, import_files.finish(book.files, values, yes=yes, dry_run=dry_run, err=is_data, also=also))


def _show_reading(name: str) -> None:
    terminal.show_step(_("Reading {name} ...", name=name))


def _headlines(found: PhotographsRead) -> Iterator[str]:
    for sheet, fields in found.sheets:
        boxes = [box for field in fields for box in field.boxes]
        marked = sum(box.mark != "empty" for box in boxes)
        yield _n(
            "{photo}: {sheet}, {marked} of {count} box marked",
            "{photo}: {sheet}, {marked} of {count} boxes marked",
            len(boxes),
            photo=sheet.picture.name,
            sheet=sheet_reader.words(sheet.layout.key),
            marked=numbers.number(marked),
        )


def _answers(book: Journal, asked: Sequence[FieldRead], *, may_ask: bool, err: bool) -> dict[FieldKey, FieldRead]:
    """The fields in doubt that were answered, by day and field. What is not asked is told."""
    now = asked[:MOST_QUESTIONS] if may_ask else []
    if now:
        said = _n(
            "{count} field is not clear. Enter leaves one out.",
            "{count} fields are not clear. Enter leaves one out.",
            len(asked),
        )
        say(said, err=err)
    answers = {}
    for field in now:
        value = _answer(book, field, err)
        if value is not None:
            answers[field.key] = msgspec.structs.replace(field, value=value, doubt="")
    if left := asked[len(now) :]:
        say(_("Not clear, and left out:"), err=err)
        print_some((f"  {field.date} {field.name}: {field.doubt}" for field in left), err=err)
    return answers


def _answer(book: Journal, field: FieldRead, err: bool) -> FieldValue | None:
    """The answer to one doubt, None if it is left out, or cannot be read again and again."""
    question = _("{day} {field}: {doubt}. What is it?", day=field.date, field=field.name, doubt=field.doubt)
    choices = doubts.choices(field, book.settings)
    for _attempt in range(_TRIES):
        text = terminal_questions.ask(f"{terminal.one_line(question)} ({choices})", "", str, err=err)
        if not text.strip():
            return None
        try:
            return doubts.answered(field, text, book.settings)
        except Unfit as unfit:
            say(_("Expected {expected}; {remedy}.", expected=unfit.expected, remedy=unfit.remedy), err=err)
    return None


def _as_json(found: PhotographsRead, standing: Sequence[StandingField]) -> str:
    """A row for each box of each sheet, one a line."""
    pages = {field.read.key: field for field in standing}
    rows = [
        msgspec.json.encode(row).decode()
        for sheet, fields in found.sheets
        for field in fields
        for row in _rows(sheet.layout.kind, field, pages[field.key])
    ]
    lines = ",\n".join(rows)
    return terminal.json_escaped(f"[\n{lines}\n]") if rows else "[]"


def _rows(kind: str, field: FieldRead, page: StandingField) -> Iterator[dict[str, Any]]:
    for box in field.boxes:
        yield {
            "photo": field.photo,
            "sheet": kind,
            "date": field.date,
            "field": box.box.field,
            "value": sheet_fields.of_box(field.field, box),
            "certainty": round(box.certainty, 4),
            "sure": box.is_sure,
            "stands": page.stands,
            "photo_box": box.place,
            "box": box.box.value,
            "mark": box.mark,
            "read": page.read.value,
            "doubt": page.read.doubt or None,
            "task": None if field.task is None else field.task.title,
        }
