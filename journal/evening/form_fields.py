"""The fields of a day and the categories of hours, as a form shows them."""

from __future__ import annotations

from typing import Literal

from journal.entry import DAY_FIELDS, Entry
from journal.evening.form_schema import CategoryOffer, FieldOffer, ScaleStep
from journal.fields import DEGREES, Field
from journal.language.catalogue import _
from journal.settings import Scale, Settings


def categories(settings: Settings) -> list[CategoryOffer]:
    """Return the categories of hours."""
    return [
        CategoryOffer(key=c.key, name=c.name, colour=settings.colour(c.key), sleep=c.sleep, work=c.work)
        for c in settings.categories
    ]


def field_offers(
    side: Literal["today", "tomorrow"], entry: Entry, settings: Settings, *, is_set: bool
) -> list[FieldOffer]:
    """Return the fields on one side of the form, each with its value on the page.

    Without a readable journal.toml (`is_set`), no field is asked whose scale or unit it has.
    """
    return [
        _field(field, entry, settings)
        for field in DAY_FIELDS
        if field.asked == side and (is_set or not (field.scale or field.keys or field.unit == DEGREES))
    ]


def _field(field: Field, entry: Entry, settings: Settings) -> FieldOffer:
    scale: Scale | None = getattr(settings, field.scale) if field.scale else None
    steps = [scale.low + step for step in range(int(scale.high - scale.low) + 1)] if scale else []
    return FieldOffer(
        path=list(field.path),
        label=_(field.label),
        question=_(field.question or field.label),
        unit=field.unit_on(settings.temperature),
        example=_(field.example) if field.example else "",
        control="scale" if scale else "number" if field.is_number else "text",
        steps=[ScaleStep(value=step, word=scale.word(step)) for step in steps] if scale else [],
        value=field.value(entry),
        low=scale.low if scale else field.low,
        high=scale.high if scale else field.high,
    )
