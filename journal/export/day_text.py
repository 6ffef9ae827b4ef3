"""A day's page in Markdown: a heading, a summary line, and a section for each kind of entry."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from journal.entry import DAY_FIELDS, Appointment, Entry, Mark, Span, Task, Tick, Weather
from journal.export import markdown, picture_exports
from journal.fields import Field
from journal.language.catalogue import _, _p
from journal.language.spoken import spoken
from journal.settings import Scale, Settings
from journal.wording import dates, entries, habits, numbers

_OWN = tuple(field for field in DAY_FIELDS if field.path[0] not in ("place", "weather"))
"""The fields written one by one. The weather is written as a whole, the place by its name."""


def day(date: dt.date, entry: Entry, settings: Settings) -> str:
    """A day's page as Markdown, without a final line end.

    Times and dates have the format of the journal; durations are in minutes. Empty parts are omitted.
    """
    parts = [f"## {dates.day(date)}", *_how_it_was(entry, settings), *_sections(date, entry, settings)]
    return "\n\n".join(parts if len(parts) > 1 else [*parts, _("Nothing is written on this page.")])


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
        _("in {place}", place=markdown.line(places.get(entry.place, entry.place))) if entry.place else "",
    ]
    if any(parts):
        yield numbers.begun(numbers.joined(parts))


def _field(field: Field, value: float | str | None, settings: Settings) -> str:
    """A field with its label: "mood 4 (good)", "steps 8,000", "air 21.5 °C"."""
    if value is None or value == "":
        return ""
    label = _(field.label)
    name = label if spoken().nouns_capital else label[0].lower() + label[1:]
    if isinstance(value, str):
        return f"{name}: {markdown.line(value)}"
    scale: Scale | None = getattr(settings, field.scale) if field.scale else None
    word = markdown.line(scale.word(value)) if scale else ""
    unit = field.unit_on(settings.temperature)
    number = f"{numbers.number(value, 6)} {unit}".rstrip()
    return f"{name} {number} ({word})" if word else f"{name} {number}"


def _temperature(weather: Weather, unit: str) -> str:
    low, high = weather.low, weather.high
    if low is not None and high is not None:
        ends = {"low": numbers.number(low, 6), "high": numbers.number(high, 6)}
        return _("{low} to {high} °{unit}", unit=unit, **ends)
    if high is not None:
        return _("up to {high} °{unit}", high=numbers.number(high, 6), unit=unit)
    return "" if low is None else _("from {low} °{unit}", low=numbers.number(low, 6), unit=unit)


def _sections(date: dt.date, entry: Entry, settings: Settings) -> Iterator[str]:
    marks, ticks, hours = entry.habits or {}, entry.challenges, entry.hours
    yield from section(_("Habits"), (_mark(date, key, mark, settings) for key, mark in marks.items()))
    yield from section(_("Challenges"), (_tick(date, key, tick, settings) for key, tick in ticks.items()))
    yield from section(_("Gratitude"), map(item, entry.gratitude))
    if entry.memory:
        title = _("To remember (a friend may read it)") if entry.share else _("To remember")
        yield f"### {title}"
        yield markdown.block(entry.memory)
    yield from section(_("Pictures"), (_picture(date, i, name, entry) for i, name in enumerate(entry.pictures)))
    yield from section(_("Notes"), map(item, entry.notes))
    yield from section(_("Hours planned"), _strip(hours.planned, settings))
    yield from section(_("Hours as they went"), _strip(hours.actual, settings))
    yield from section(_("Appointments"), (_appointment(a, settings) for a in entry.appointments))
    yield from section(_("Tasks"), (_task(date, task) for task in entry.tasks))


def _picture(date: dt.date, position: int, name: str, entry: Entry) -> str:
    caption = markdown.line(entry.captions.get(name, "")) or _("Without a caption")
    return f"- {caption} ({picture_exports.export_name(date, position)})"


def _mark(date: dt.date, key: str, mark: Mark, settings: Settings) -> str:
    name = markdown.line(settings.habit_name(key))
    if isinstance(mark, (bool, str)):
        state = mark if isinstance(mark, str) else "done" if mark else "missed"
        return f"- {name}: {habits.state_word(state)}"
    rule = settings.habit_on(key, date)
    unit = markdown.line(rule.unit) if rule else ""
    value = f"{numbers.number(mark, 6)} {unit}".rstrip()
    if rule is None or rule.target is None:
        return f"- {name}: {value}"
    target = numbers.number(rule.target, 6)
    aim = (
        _("aim: at most {target}", target=target)
        if rule.aim == "at most"
        else _("aim: at least {target}", target=target)
    )
    return f"- {name}: {value} ({aim})"


def _tick(date: dt.date, key: str, tick: Tick, settings: Settings) -> str:
    challenge = next((c for c in settings.challenges if c.key == key), None)
    name = markdown.line(challenge.name if challenge else key)
    n = (date - challenge.start).days if challenge else -1
    prompt = markdown.line(challenge.prompts[n]) if challenge and 0 <= n < len(challenge.prompts) else ""
    done = (
        habits.state_word("done" if tick else "missed")
        if isinstance(tick, bool)
        else _("done on {day}", day=dates.day(tick, year=True))
    )
    return f"- {name}{f' ({prompt})' if prompt else ''}: {done}"


def _strip(strip: dict[str, tuple[Span, ...]], settings: Settings) -> Iterator[str]:
    """A line for each category, in order of its first hour."""
    names = {category.key: category.name for category in settings.categories}
    for key, spans in sorted(strip.items(), key=lambda pair: min(pair[1], default=Span(0, 1))):
        if spans:
            times = ", ".join(_span(*span, settings) for span in sorted(spans))
            yield f"- {markdown.line(names.get(key, key))}: {times}"


def _span(start: int, end: int, settings: Settings) -> str:
    first, last = dates.clock(start, settings.clock), dates.clock(end, settings.clock)
    return _p("times", "{first} to {last}", first=first, last=last)


def _appointment(appointment: Appointment, settings: Settings) -> str:
    start, end = appointment.start, appointment.end
    if start is None:
        when = numbers.begun(_("all day"))
    else:
        when = dates.clock(start, settings.clock) if end is None else _span(start, end, settings)
    return f"- {when}: {markdown.block(appointment.title, '  ')}"


def _task(date: dt.date, task: Task) -> str:
    more = entries.task(
        {"rank": task.rank, "estimate": task.estimate, "took": task.took, "since": task.since, "date": date}
    )
    status, title = numbers.begun(entries.status(task.status)), markdown.block(task.title, "  ")
    return f"- {status}: {title} ({more})" if more else f"- {status}: {title}"
