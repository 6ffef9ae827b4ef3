"""What is in doubt on a sheet, as a question to the person, and the answer to it."""

from __future__ import annotations

from journal.importing import cells
from journal.importing.model import Unfit
from journal.language.catalogue import _, _p
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.paper import month_plan
from journal.paper.sheet_fields import SCALES, FieldRead, FieldValue
from journal.settings import Scale, Settings
from journal.wording import numbers, typed_numbers


def choices(field: FieldRead, settings: Settings) -> str:
    """What may be answered, in words.

    >>> field = FieldRead(field="mood", date=__import__("datetime").date(2025, 4, 1), photo="a.jpg", boxes=())
    >>> choices(field, Settings(title="Small", places=()))
    '1 to 5'
    """
    if field.field in SCALES:
        scale = _scale(field, settings)
        return _("{low} to {high}", low=numbers.number(scale.low), high=numbers.number(scale.high))
    if field.is_task:
        return _("done, carried or open")
    if field.field.startswith("habits."):
        return _("a number or rest") if field.is_counted else _("yes, no or rest")
    return _("yes or no")


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
        return [(f"{step:g}", numbers.joined([f"{step:g}", scale.word(step)], " ")) for step in steps]
    if field.is_task:
        return [("done", _p("of a task", "Done")), ("carried", _p("of a task", "Carried")), ("open", _("Still open"))]
    if field.is_hour:
        return [("yes", _("Yes")), ("no", _("No"))]
    done, not_done = ("yes", _p("of a habit", "Done")), ("no", _p("of a habit", "Not done"))
    if field.field.startswith("habits."):
        return [] if field.is_counted else [done, ("rest", _p("of a habit", "Rest")), not_done]
    return [done, not_done]


def answered(field: FieldRead, text: str, settings: Settings) -> FieldValue:
    """The value that an answer gives: the words that a table of days may have (`importing.cells`).

    Raises Unfit, with what is expected and the remedy, if it is none, or a number that could be meant as thousands.
    """
    _refuse_ambiguous(text)
    if field.field in SCALES:
        scale = _scale(field, settings)
        step = cells.rating(text, scale, comma=True)
        if not scale.low <= step <= scale.high:
            low, high = numbers.number(scale.low), numbers.number(scale.high)
            raise Unfit(_("a number from {low} to {high}", low=low, high=high), _("write one of them"))
        return step
    if field.is_task:
        return _status(text)
    if field.field.startswith("habits."):
        return cells.mark(text, field.is_counted, comma=True)
    return cells.yes_or_no(text)


def _refuse_ambiguous(text: str) -> None:
    if typed_numbers.is_ambiguous(text):
        try:
            typed_numbers.read(text)
        except ValueError as error:
            raise Unfit(_("a number"), str(error)) from None


def _status(text: str) -> FieldValue:
    """The status of a task, from its code or its word in any language of the program, as marks of a table are read."""
    word = text.strip().casefold()
    for language in LANGUAGES.values():
        with speaking(language):
            words = _statuses()
        for status, said in words.items():
            if word in {status, said.casefold()}:
                return status
    raise Unfit(_("done, carried or open"), _("write one of them"))


def _statuses() -> dict[FieldValue, str]:
    return {
        "done": _p("of a task", "done"),
        "carried": _p("of a task", "carried"),
        "open": _p("of a task", "open"),
    }


def _scale(field: FieldRead, settings: Settings) -> Scale:
    return settings.mood if field.field == "mood" else settings.energy
