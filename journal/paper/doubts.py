"""What is in doubt on a sheet, as a question to the person, and the answer to it."""

from __future__ import annotations

from journal.entry import Mark
from journal.importing import cells
from journal.importing.model import Unfit
from journal.paper.sheet_fields import FieldRead
from journal.settings import Settings
from journal.wording import numbers


def choices(field: FieldRead, settings: Settings) -> str:
    """What may be answered, in words.

    >>> field = FieldRead(field="mood", date=__import__("datetime").date(2025, 4, 1), photo="a.jpg", boxes=())
    >>> choices(field, Settings(title="Small", places=()))
    '1 to 5'
    """
    if field.field == "mood":
        return f"{numbers.number(settings.mood.low)} to {numbers.number(settings.mood.high)}"
    if field.field.startswith("habits."):
        return "a number or rest" if field.is_counted else "yes, no or rest"
    return "yes or no"


def answered(field: FieldRead, text: str, settings: Settings) -> Mark:
    """The value that an answer gives: the words that a table of days may have (`importing.cells`).

    Raises Unfit, with what is expected and the remedy, if it is none.
    """
    if field.field == "mood":
        step = cells.rating(text, settings.mood, comma=True)
        if not settings.mood.low <= step <= settings.mood.high:
            raise Unfit(f"a number from {choices(field, settings)}", "write one of them")
        return step
    if field.field.startswith("habits."):
        return cells.mark(text, field.is_counted, comma=True)
    return cells.yes_or_no(text)
