"""The text of a day's page, in a careful hand-written layout."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from tests.invented_year.story import LATE, Day, Spans, Task

_WIDTH = 100


def text(value: str) -> str:
    """A TOML basic string."""
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def array(key: str, values: list[str]) -> str:
    """A TOML array: on one line if it is short enough, else one line per value."""
    short = f"{key} = [{', '.join(map(text, values))}]"
    if len(short) <= _WIDTH:
        return short
    return "\n".join([f"{key} = [", *(f"    {text(value)}," for value in values), "]"])


def clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _value(value: bool | int | str | dt.date) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return text(value) if isinstance(value, str) else str(value)


def _top(day: Day) -> list[str]:
    lines = [f"# filled in on {LATE[day.date]}"] if day.date in LATE else []
    lines += [f"mood = {day.mood}"] if day.mood is not None else []
    lines += [f"energy = {day.energy}"] if day.energy is not None else []
    lines += [array("gratitude", day.gratitude)] if day.gratitude else []
    lines += [f"memory = {text(day.memory)}"] if day.memory else []
    lines += ["share = true"] if day.share else []
    lines += [array("notes", day.notes)] if day.notes else []
    lines += [array("pictures", list(day.pictures))] if day.pictures else []
    return lines + (['place = "edinburgh"'] if day.trip else [])


def _pairs(name: str, pairs: Mapping[str, bool | int | str | dt.date], remarks: dict[str, str]) -> list[str]:
    notes = {key: f"  # {remarks[key]}" if key in remarks else "" for key in pairs}
    return [f"[{name}]", *(f"{key} = {_value(value)}{notes[key]}" for key, value in pairs.items())]


def _hours(layer: str, spans: Spans) -> list[str]:
    ranges = {key: [f"{clock(a)}-{clock(b)}" for a, b in sorted(pairs)] for key, pairs in spans.items()}
    return [f"[hours.{layer}]", *(f"{key} = [{', '.join(map(text, values))}]" for key, values in ranges.items())]


def _task(task: Task) -> str:
    lines = ["[[tasks]]", f"title = {text(task.title)}", f"status = {text(task.status)}"]
    for key in ("rank", "estimate", "took", "since"):
        if getattr(task, key) is not None:
            lines.append(f"{key} = {getattr(task, key)}")
    return "\n".join(lines + ([f"id = {text(task.id)}"] if task.id else []))


def page(day: Day) -> str:
    """The text of the page. A day that was only planned has only its plan."""
    blocks = ["\n".join(_top(day))] if _top(day) else []
    if day.pictures:
        blocks.append(
            "\n".join(["[captions]", *(f"{text(name)} = {text(said)}" for name, said in day.pictures.items())])
        )
    weather: dict[str, bool | int | str] = {"sky": day.sky, "high": day.high, "low": day.low}
    blocks.append("\n".join(_pairs("weather", weather, {})))
    if day.marks:
        blocks.append("\n".join(_pairs("habits", dict(day.marks), day.remarks)))
    if day.ticks:
        blocks.append("\n".join(_pairs("challenges", dict(day.ticks), day.remarks)))
    hours = _hours("planned", day.planned)
    blocks.append("\n".join(hours + (_hours("actual", day.actual) if day.actual else [])))
    for title, start, end in day.appointments:
        lines = ["[[appointments]]", f"title = {text(title)}"]
        lines += [f"start = {text(start)}"] if start else []
        blocks.append("\n".join(lines + ([f"end = {text(end)}"] if end else [])))
    blocks += map(_task, day.tasks)
    return "\n\n".join(blocks) + "\n"
