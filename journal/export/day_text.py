"""A day's page in Markdown: a heading, a summary line, and a section for each kind of entry."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from journal.entry import DAY_FIELDS, Appointment, Entry, Mark, Span, Task, Tick, Weather
from journal.export import markdown, picture_exports
from journal.fields import Field
from journal.settings import Scale, Settings
from journal.wording import dates, entries, numbers

_OWN = tuple(field for field in DAY_FIELDS if field.path[0] not in ("place", "weather"))
"""The fields written one by one. The weather is written as a whole, the place by its name."""


def day(date: dt.date, entry: Entry, settings: Settings) -> str:
    """A day's page as Markdown, without a final line end.

    Times and dates have the format of the journal; durations are in minutes. Empty parts are omitted.
    """
    parts = [f"## {dates.day(date)}", *_how_it_was(entry, settings), *_sections(date, entry, settings)]
    return "\n\n".join(parts if len(parts) > 1 else [*parts, "Nothing is written on this page."])


def section(title: str, lines: Iterable[str]) -> Iterator[str]:
    """A heading with a list below it; empty without lines."""
    items = "\n".join(lines)
    if items:
        yield from (f"### {title}", items)


def item(text: str) -> str:
    """A text as a list item."""
    return f"- {markdown.block(text, '  ')}"


def _how_it_was(entry: Entry, settings: Settings) -> Iterator[str]:
    weather = entry.weather or Weather()
    places = {place.key: place.name for place in settings.places}
    parts = [
        *(_field(field, field.value(entry), settings) for field in _OWN),
        markdown.line(weather.sky or ""),
        _temperature(weather, settings.temperature),
        f"in {markdown.line(places.get(entry.place, entry.place))}" if entry.place else "",
    ]
    if any(parts):
        line = " · ".join(part for part in parts if part)
        yield line[0].upper() + line[1:]


def _field(field: Field, value: float | str | None, settings: Settings) -> str:
    """A field with its label: "mood 4 (good)", "steps 8,000", "air 21.5 °C"."""
    if value is None or value == "":
        return ""
    name = field.label[0].lower() + field.label[1:]
    if isinstance(value, str):
        return f"{name}: {markdown.line(value)}"
    scale: Scale | None = getattr(settings, field.scale) if field.scale else None
    word = markdown.line(scale.word(value)) if scale else ""
    unit = field.unit_on(settings.temperature)
    return f"{name} {numbers.number(value, 6)}{f' {unit}' if unit else ''}{f' ({word})' if word else ''}"


def _temperature(weather: Weather, unit: str) -> str:
    low, high = weather.low, weather.high
    if low is not None and high is not None:
        return f"{numbers.number(low, 6)} to {numbers.number(high, 6)} °{unit}"
    if high is not None:
        return f"up to {numbers.number(high, 6)} °{unit}"
    return "" if low is None else f"from {numbers.number(low, 6)} °{unit}"


def _sections(date: dt.date, entry: Entry, settings: Settings) -> Iterator[str]:
    marks, ticks, hours = entry.habits or {}, entry.challenges, entry.hours
    yield from section("Habits", (_mark(date, key, mark, settings) for key, mark in marks.items()))
    yield from section("Challenges", (_tick(date, key, tick, settings) for key, tick in ticks.items()))
    yield from section("Gratitude", map(item, entry.gratitude))
    if entry.memory:
        yield f"### To remember{' (a friend may read it)' if entry.share else ''}"
        yield markdown.block(entry.memory)
    yield from section("Pictures", (_picture(date, i, name, entry) for i, name in enumerate(entry.pictures)))
    yield from section("Notes", map(item, entry.notes))
    yield from section("Hours planned", _strip(hours.planned, settings))
    yield from section("Hours as they went", _strip(hours.actual, settings))
    yield from section("Appointments", (_appointment(a, settings) for a in entry.appointments))
    yield from section("Tasks", (_task(date, task) for task in entry.tasks))


def _picture(date: dt.date, position: int, name: str, entry: Entry) -> str:
    caption = markdown.line(entry.captions.get(name, "")) or "Without a caption"
    return f"- {caption} ({picture_exports.export_name(date, position)})"


def _mark(date: dt.date, key: str, mark: Mark, settings: Settings) -> str:
    name = markdown.line(settings.habit_name(key))
    if isinstance(mark, bool):
        return f"- {name}: {'done' if mark else 'not done'}"
    if isinstance(mark, str):
        return f"- {name}: {mark}"
    rule = settings.habit_on(key, date)
    unit = markdown.line(rule.unit) if rule else ""
    target = "" if rule is None or rule.target is None else f" (aim: {rule.aim} {numbers.number(rule.target, 6)})"
    return f"- {name}: {f'{numbers.number(mark, 6)} {unit}'.rstrip()}{target}"


def _tick(date: dt.date, key: str, tick: Tick, settings: Settings) -> str:
    challenge = next((c for c in settings.challenges if c.key == key), None)
    name = markdown.line(challenge.name if challenge else key)
    n = (date - challenge.start).days if challenge else -1
    prompt = markdown.line(challenge.prompts[n]) if challenge and 0 <= n < len(challenge.prompts) else ""
    done = ("done" if tick else "not done") if isinstance(tick, bool) else f"done on {dates.day(tick, year=True)}"
    return f"- {name}{f' ({prompt})' if prompt else ''}: {done}"


def _strip(strip: dict[str, tuple[Span, ...]], settings: Settings) -> Iterator[str]:
    """A line for each category, in order of its first hour."""
    names = {category.key: category.name for category in settings.categories}
    for key, spans in sorted(strip.items(), key=lambda pair: min(pair[1], default=Span(0, 1))):
        if spans:
            times = ", ".join(_span(*span, settings) for span in sorted(spans))
            yield f"- {markdown.line(names.get(key, key))}: {times}"


def _span(start: int, end: int, settings: Settings) -> str:
    return f"{dates.clock(start, settings.clock)} to {dates.clock(end, settings.clock)}"


def _appointment(appointment: Appointment, settings: Settings) -> str:
    start, end = appointment.start, appointment.end
    if start is None:
        when = "All day"
    else:
        when = dates.clock(start, settings.clock) if end is None else _span(start, end, settings)
    return f"- {when}: {markdown.block(appointment.title, '  ')}"


def _task(date: dt.date, task: Task) -> str:
    more = entries.task(
        {"rank": task.rank, "estimate": task.estimate, "took": task.took, "since": task.since, "date": date}
    )
    return f"- {task.status.capitalize()}: {markdown.block(task.title, '  ')}{f' ({more})' if more else ''}"
