"""Hours given to `duskbook log`: `--hours workshop=09:00-12:30` adds spans to the day as it went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from journal.commands.usage_errors import suggestion
from journal.entry import Span, clock_text
from journal.errors import UsageError
from journal.language.catalogue import _
from journal.settings import Settings

if TYPE_CHECKING:
    from journal.folder.writing import Changes


def changes(given: Sequence[str], values: Mapping[str, Any], settings: Settings) -> tuple[Changes, list[str]]:
    """Return the changes of a page's actual hours, and the answer to each given text.

    A text has a category by key or name, and one or more spans: "workshop=09:00-12:30,13:30-17:00". Spans that the page
    has already are not added again.

    >>> small = Settings(title="Small", places=())
    >>> changes(["Work=09:00-12:30"], {"hours": {"actual": {"work": ["14:00-15:00"]}}}, small)
    ({('hours', 'actual', 'work'): ['09:00-12:30', '14:00-15:00']}, ['Work 09:00-12:30'])

    Raises UsageError for an unknown category, an invalid span, and hours that another span has already.
    """
    present = _present(values)
    result: dict[tuple[str, ...], Any] = {}
    answers = []
    for text in given:
        key, spans = _read(text, settings)
        for span in spans:
            taken = {taken: other for other, others in present.items() for taken in others}
            clash = next((other for other in taken if _overlap(span, other) and other != span), None)
            clash = span if taken.get(span, key) != key else clash
            if clash is not None:
                refusal = _("--hours {typed}: {hours} is {category} already; change the page")
                name = _name(taken[clash], settings)
                raise UsageError(refusal.format(typed=text, hours=_text(clash), category=name))
            if span not in present.get(key, []):
                present[key] = sorted([*present.get(key, []), span])
                result["hours", "actual", key] = [_text(span) for span in present[key]]
        answers.append(f"{_name(key, settings)} {', '.join(map(_text, spans))}")
    return result, answers


def _present(values: Mapping[str, Any]) -> dict[str, list[Span]]:
    """Return the actual hours of a page. Invalid ones are left to the check of the page."""
    hours: Any = values.get("hours")
    actual: Any = hours.get("actual") if isinstance(hours, Mapping) else None
    strip: dict[str, list[Span]] = {}
    for key, texts in actual.items() if isinstance(actual, Mapping) else ():
        for text in texts if isinstance(texts, list) else [texts]:
            try:
                strip.setdefault(key, []).append(Span.parse(text))
            except (ValueError, AttributeError):
                refusal = _("--hours: the page has hours of {category} that cannot be read; mend them first")
                raise UsageError(refusal.format(category=key)) from None
    return strip


def _read(text: str, settings: Settings) -> tuple[str, list[Span]]:
    name, _equals, spans = text.rpartition("=")
    key = next((c.key for c in settings.categories if name.casefold() in (c.key, c.name.casefold())), None)
    if not name:
        refusal = _('--hours {typed}: write a category and hours, e.g. "{category}=09:00-12:30"')
        raise UsageError(refusal.format(typed=text, category=settings.categories[0].key))
    if key is None:
        refusal = _('--hours {typed}: there is no category "{name}"; {remedy}')
        remedy = suggestion(name, [category.key for category in settings.categories])
        raise UsageError(refusal.format(typed=text, name=name, remedy=remedy))
    try:
        return key, sorted(Span.parse(span.strip()) for span in spans.split(","))
    except ValueError as error:
        raise UsageError(f"--hours {text}: {error}") from None


def _overlap(a: Span, b: Span) -> bool:
    return a.start_minute < b.end_minute and b.start_minute < a.end_minute


def _name(key: str, settings: Settings) -> str:
    return next((category.name for category in settings.categories if category.key == key), key)


def _text(span: Span) -> str:
    return f"{clock_text(span.start_minute)}-{clock_text(span.end_minute)}"
