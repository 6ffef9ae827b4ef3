"""The prompts of journal.toml, each with its answer on the page of a period.

An answer keeps the prompt that its page has. Answers to prompts that journal.toml no longer asks come last.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from journal.errors import UsageError
from journal.folder.identity import TomlTable, identities
from journal.folder.page_versions import Base
from journal.language.catalogue import _
from journal.periods import PeriodKind
from journal.settings import Prompts


class Question(msgspec.Struct, frozen=True, kw_only=True):
    """A prompt and its answer, empty if there is none. `ref` is its name in the form.

    `row` is its position among the [[reflection]] tables of the page, None without a table. `asked` is true if
    journal.toml asks the prompt now.
    """

    ref: str
    prompt: str
    answer: str
    row: int | None
    asked: bool


def questions(asked: Sequence[str], tables: Sequence[TomlTable]) -> list[Question]:
    """Return the asked prompts in order, then the answers to prompts that are not asked.

    Tables whose prompt or answer is not a text are skipped.

    >>> page = [{"prompt": "What held?", "answer": "The letters."}, {"prompt": "What may go?"}]
    >>> for one in questions(["What may go?", "What next?"], page): print(one.prompt, one.answer, one.row, one.asked)
    What may go?  1 True
    What next?  None True
    What held? The letters. 0 False
    """
    left = {i: table for i, table in enumerate(tables) if _is_answer(table)}
    rows: list[tuple[str, int | None, bool]] = []
    for prompt in filter(None, map(one_line, asked)):
        row = next((i for i, table in left.items() if one_line(table["prompt"]) == prompt), None)
        left.pop(row if row is not None else -1, None)
        rows.append((prompt, row, True))
    rows += [(one_line(table["prompt"]), i, False) for i, table in left.items() if words(table.get("answer", ""))]
    refs = identities("reflection", [{"prompt": prompt} for prompt, _row, _asked in rows])
    return [
        Question(ref=ref, prompt=prompt, answer=_answer(tables, row), row=row, asked=is_asked)
        for ref, (prompt, row, is_asked) in zip(refs, rows, strict=True)
    ]


def _is_answer(table: TomlTable) -> bool:
    return isinstance(table.get("prompt"), str) and isinstance(table.get("answer", ""), str)


def _answer(tables: Sequence[TomlTable], row: int | None) -> str:
    return "" if row is None else words(tables[row].get("answer", ""))


def one_line(text: str) -> str:
    """Return a prompt as the form shows it: one line, single spaces.

    >>> one_line(" What held,\\n and why? ")
    'What held, and why?'
    """
    return " ".join(text.split())


def words(text: str) -> str:
    """Return an answer or a note as the form shows it: line ends as in a browser, no surrounding space."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def tables_of(page: Base) -> list[TomlTable]:
    """Return the [[reflection]] tables of a page.

    Raises WriteError if the page cannot be read, UsageError if `reflection` is not a list of tables.
    """
    tables = page.values.get("reflection", [])
    if isinstance(tables, list) and all(isinstance(table, Mapping) for table in tables):
        return tables
    raise UsageError(
        _(
            '"{path}" has a reflection that is not a list of [[reflection]] tables; mend it in an editor, then open '
            "this page again",
            path=page.path,
        )
    )


def notes_of(page: Base) -> list[str]:
    """Return the notes of a page. Raises WriteError and UsageError as `tables_of` does."""
    notes = page.values.get("notes", [])
    if isinstance(notes, list) and all(isinstance(note, str) for note in notes):
        return notes
    raise UsageError(
        _(
            '"{path}" has notes that are not a list of texts; mend it in an editor, then open this page again',
            path=page.path,
        )
    )


def prompts_of(settings: Base, kind: PeriodKind) -> list[str]:
    """Return the prompts of a kind of page from a version of journal.toml, or the default ones.

    Of a broken journal.toml, those of its valid statements. Raises WriteError if it is no text, UsageError if its
    prompts are not a list of texts.
    """
    prompts: Any = settings.applied.get("prompts", {})
    found = prompts.get(kind, default_prompts(kind)) if isinstance(prompts, Mapping) else None
    if isinstance(found, list) and all(isinstance(prompt, str) for prompt in found):
        return found
    raise UsageError(
        _(
            '"{path}" has prompts that are not lists of texts; mend it in an editor, then open this page again',
            path=settings.path,
        )
    )


def refuse_if_broken(settings: Base) -> None:
    """Raise WriteError, with position and remedy, if journal.toml is broken. Its prompts cannot be changed then."""
    settings.values  # noqa: B018 - reads it


def default_prompts(kind: PeriodKind) -> list[str]:
    """Return the prompts of a kind of page for a journal.toml without any."""
    return list(getattr(Prompts(), kind))
