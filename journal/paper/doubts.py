"""What is in doubt on a sheet, as a question to the person, and the answer to it."""

from __future__ import annotations

from journal.importing import cells
from journal.importing.model import Unfit
from journal.paper import month_plan
from journal.paper.sheet_fields import SCALES, FieldRead, FieldValue
from journal.settings import Scale, Settings
from journal.wording import numbers


def choices(field: FieldRead, settings: Settings) -> str:
    """What may be answered, in words.

    >>> field = FieldRead(field="mood", date=__import__("datetime").date(2025, 4, 1), photo="a.jpg", boxes=())
    >>> choices(field, Settings(title="Small", places=()))
    '1 to 5'
    """
    if field.field in SCALES:
        scale = _scale(field, settings)
        return f"{numbers.number(scale.low)} to {numbers.number(scale.high)}"
    if field.is_task:
        return "done, carried or open"
    if field.field.startswith("habits."):
        return "a number or rest" if field.is_counted else "yes, no or rest"
    return "yes or no"


def listed(field: FieldRead, settings: Settings) -> list[tuple[str, str]]:
    """The answers to choose from, each with its words. None where a number is to be written, or there are too many.

    >>> field = FieldRead(field="tasks.0", date=__import__("datetime").date(2025, 4, 1), photo="a.jpg", boxes=())
    >>> listed(field, Settings(title="Small", places=()))
    [('done', 'Done'), ('carried', 'Carried'), ('open', 'Still open')]
    """
    if field.field in SCALES:
        scale = _scale(field, settings)
        steps = month_plan.steps(scale)
        if len(steps) > month_plan.MOST_STEPS:
            return []
        return [(f"{step:g}", " ".join(filter(None, (f"{step:g}", scale.word(step))))) for step in steps]
    if field.is_task:
        return [("done", "Done"), ("carried", "Carried"), ("open", "Still open")]
    if field.is_hour:
        return [("yes", "Yes"), ("no", "No")]
    if field.field.startswith("habits."):
        return [] if field.is_counted else [("yes", "Done"), ("rest", "Rest"), ("no", "Not done")]
    return [("yes", "Done"), ("no", "Not done")]


def answered(field: FieldRead, text: str, settings: Settings) -> FieldValue:
    """The value that an answer gives: the words that a table of days may have (`importing.cells`).

    Raises Unfit, with what is expected and the remedy, if it is none.
    """
    if field.field in SCALES:
        scale = _scale(field, settings)
        step = cells.rating(text, scale, comma=True)
        if not scale.low <= step <= scale.high:
            raise Unfit(f"a number from {choices(field, settings)}", "write one of them")
        return step
    if field.is_task:
        return _status(text)
    if field.field.startswith("habits."):
        return cells.mark(text, field.is_counted, comma=True)
    return cells.yes_or_no(text)


def _status(text: str) -> FieldValue:
    word = text.strip().casefold()
    statuses: tuple[FieldValue, ...] = ("done", "carried", "open")
    for status in statuses:
        if word == status:
            return status
    raise Unfit("done, carried or open", "write one of them")


def _scale(field: FieldRead, settings: Settings) -> Scale:
    return settings.mood if field.field == "mood" else settings.energy
