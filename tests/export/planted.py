"""A journal with a unique word planted in every field of text or keys, and the readers of each.

    folder, secrets = planted(tmp_path)
    assert leaks(made_for_a_friend, secrets, "friend") == []

`READERS` has every such field of the typed pages and of journal.toml; `fields` finds them in the types themselves, so
that a new one has no reader until somebody decides.
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import tomlkit
from msgspec import inspect

from journal.export.audience import Audience
from tests.export.leaking import Secret
from tests.journals import days_between

TODAY = dt.date(2025, 3, 31)
YEAR = 2025

ME: frozenset[Audience] = frozenset({"me"})
FRIEND: frozenset[Audience] = frozenset({"me", "friend"})

READERS: dict[str, frozenset[Audience]] = {
    "Entry.gratitude[]": ME,
    "Entry.memory": ME,
    "Entry.memory, shared": FRIEND,
    "Entry.notes[]": ME,
    "Entry.pictures[]": ME,
    "Entry.captions{}": ME,
    "Entry.captions{}, shared": FRIEND,
    "Entry.weather.sky": ME,
    "Entry.appointments[].title": ME,
    "Entry.tasks[].title": ME,
    "Entry.tasks[].id": ME,
    "Review.reflection[].prompt": ME,
    "Review.reflection[].answer": ME,
    "Review.notes[]": ME,
    "Undated.tasks[].title": ME,
    "Undated.tasks[].id": ME,
    "Settings.title": FRIEND,
    "Settings.places[].key": ME,
    "Settings.places[].name": ME,
    "Settings.places[].timezone": ME,
    "Settings.mood.words[]": FRIEND,
    "Settings.energy.words[]": FRIEND,
    "Settings.categories[].key": FRIEND,
    "Settings.categories[].name": FRIEND,
    "Settings.habits[].key": FRIEND,
    "Settings.habits[].name": FRIEND,
    "Settings.habits[].unit": FRIEND,
    "Settings.challenges[].key": FRIEND,
    "Settings.challenges[].name": FRIEND,
    "Settings.challenges[].prompts[]": ME,
    "Settings.routines[].title": ME,
    "Settings.rests[].reason": ME,
    "Settings.trials[].key": ME,
    "Settings.trials[].question": ME,
    "Settings.prompts.week[]": ME,
    "Settings.prompts.month[]": ME,
    "Settings.prompts.year[]": ME,
    "Settings.calendars[]": ME,
    "Settings.lines.stop_words[]": ME,
}
"""The readers of each text field."""

NUMBERS: dict[str, frozenset[Audience]] = {
    "Entry.weather.high": ME,
    "Entry.weather.low": ME,
    "Settings.places[].latitude": ME,
    "Settings.places[].longitude": ME,
}
"""Number fields that reveal where someone lives."""

ANYONES = (
    "Entry.mood", "Entry.energy", "Entry.habits{}", "Entry.tasks[].estimate", "Entry.tasks[].took",
    "Entry.tasks[].rank", "Undated.tasks[].estimate", "Settings.format", "Settings.day.gratitude_lines",
    "Settings.day.ranked_tasks", "Settings.mood.low", "Settings.mood.high", "Settings.energy.low",
    "Settings.energy.high", "Settings.habits[].times", "Settings.habits[].target", "Settings.routines[].estimate",
    "Settings.trials[].days", "Settings.trials[].block", "Settings.trials[].washout", "Settings.trials[].seed",
)  # fmt: skip
"""All other number fields."""

SAME: dict[str, str] = {
    "Entry.place": "Settings.places[].key",
    "Entry.habits{}": "Settings.habits[].key",
    "Entry.challenges{}": "Settings.challenges[].key",
    "Entry.hours.planned{}": "Settings.categories[].key",
    "Entry.hours.actual{}": "Settings.categories[].key",
    "Review.decisions{}": "Settings.habits[].key",
    "Review.decision_dates{}": "Settings.habits[].key",
    "Settings.hours{}{}": "Settings.categories[].key",
    "Settings.rests[].habits[]": "Settings.habits[].key",
    "Settings.trials[].habit": "Settings.habits[].key",
    "Settings.trials[].outcome": "Settings.habits[].key",
}
"""Fields with a key of journal.toml; their word is that of the key."""

NO_WORDS: dict[str, str] = {
    "Settings.categories[].colour": "#zz",
    "Settings.habits[].every": "FREQ=DAILY;X-WORD=ZZ",
    "Settings.routines[].every": "FREQ=DAILY;X-WORD=ZZ",
    "Settings.hours{}": "zzday",
    "Settings.trials[].plan": "zz",
}
"""Text fields with a fixed format and no free words, each with an example of a rejected value."""

BESIDE: dict[str, frozenset[Audience]] = {
    "the folder's name": ME,
    "the event of a calendar": ME,
    "a comment": ME,
    "a key that is not known": ME,
    "a value that does not fit": ME,
}
"""Places with words that are not fields."""


def fields(page: type[msgspec.Struct], of: type[inspect.Type] = inspect.StrType) -> list[str]:
    """The fields of a page with a type, by default text, in the order of the types.

    >>> from journal.entry import Undated
    >>> fields(Undated), fields(Undated, inspect.FloatType)
    (['Undated.tasks[].title', 'Undated.tasks[].id'], ['Undated.tasks[].estimate'])
    """
    return list(dict.fromkeys(_fields(inspect.type_info(page), page.__name__, of)))


def _fields(type_: inspect.Type, path: str, of: type[inspect.Type]) -> Iterator[str]:
    match type_:
        case inspect.StructType():
            for field in type_.fields:
                yield from _fields(field.type, f"{path}.{field.encode_name}", of)
        case inspect.DictType():
            yield from _fields(type_.key_type, path + "{}", of)
            yield from _fields(type_.value_type, path + "{}", of)
        case inspect.VarTupleType():
            yield from _fields(type_.item_type, path + "[]", of)
        case inspect.UnionType():
            for one in type_.types:
                yield from _fields(one, path, of)
        case _ if isinstance(type_, of):
            yield path


def planted(tmp_path: Path) -> tuple[Path, dict[str, Secret]]:
    """Write the journal below a folder: three months of closed days, each with every field.

    Returns its folder, and every word with where it stands and who may read it there.
    """
    beds = _Beds()
    settings = _settings(beds)
    folder = tmp_path / beds.word("the folder's name")
    (folder / "2025").mkdir(parents=True)
    _write(folder / "journal.toml", settings)
    event = f"SUMMARY:{beds.word('the event of a calendar')}\r\nDTSTART:20250401T080000Z\r\nUID:1"
    calendar = f"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    (folder / settings["calendars"][0]).write_text(calendar, encoding="utf-8")
    tasks = [{"title": beds.word("Undated.tasks[].title"), "id": beds.word("Undated.tasks[].id"), "since": TODAY}]
    _write(folder / "undated.toml", {"tasks": tasks})
    for name in ("2025-W05", "2025-02", "2025"):
        reflection = {kind: beds.word(f"Review.reflection[].{kind}") for kind in ("prompt", "answer")}
        page = {"reflection": [reflection], "notes": [beds.word("Review.notes[]")]}
        habits = beds.several("Settings.habits[].key", 3)
        dates = {habit: {"until": TODAY} for habit in habits}
        decisions = {"decisions": dict.fromkeys(habits, "drop"), "decision_dates": dates}
        _write(folder / f"2025/{name}.toml", page | (decisions if name == "2025-02" else {}))
    for i, date in enumerate(days_between(dt.date(2025, 1, 1), TODAY)):
        _write(folder / f"2025/{date}.toml", _day(beds, i, date))
    wrong = f"# {beds.word('a comment')}\n{beds.word('a key that is not known')} = 1\n"
    value = f'mood = "{beds.word("a value that does not fit")}"\n'
    (folder / "2025/2025-04-02.toml").write_text(wrong + value, encoding="utf-8")
    return folder, beds.secrets


class _Beds:
    """Words by field. The first word of a field is always the same."""

    def __init__(self) -> None:
        self.secrets: dict[str, Secret] = {}
        self.by_field: dict[str, list[str]] = {}
        # No word contains another one, or letters that a font draws as a ligature (fi, fl).
        self.fresh = (f"zq{''.join(letters)}xv" for letters in itertools.product("abcdeghkmnoprstuw", repeat=2))

    def word(self, field: str) -> str:
        return self.several(field, 1)[0]

    def several(self, field: str, count: int) -> list[str]:
        known = self.by_field.setdefault(field, [])
        while len(known) < count:
            self.add(field, next(self.fresh))
        return known[:count]

    def add(self, field: str, word: str) -> str:
        self.by_field.setdefault(field, []).append(word)
        self.secrets[word] = Secret(field, (READERS | NUMBERS | BESIDE)[field])
        return word


def _settings(beds: _Beds) -> dict[str, Any]:
    place = {part: beds.word(f"Settings.places[].{part}") for part in ("key", "name")}
    # A time zone that no machine has by chance, offset by a quarter of an hour from its neighbours.
    beds.add("Settings.places[].timezone", "chatham")
    degrees = {"latitude": 43.95731, "longitude": 176.55917}
    for name, value in degrees.items():
        beds.add(f"Settings.places[].{name}", str(value))
    keys, names = (beds.several(f"Settings.habits[].{part}", 3) for part in ("key", "name"))
    rules: list[dict[str, Any]] = [
        {"every": "FREQ=DAILY"},
        {"every": "FREQ=DAILY", "target": 20, "unit": beds.word("Settings.habits[].unit")},
        {"times": 3, "per": "week"},
    ]
    start = dt.date(2025, 1, 1)
    habits = [{"key": k, "name": n, "from": start} | rule for k, n, rule in zip(keys, names, rules, strict=True)]
    roles: list[dict[str, Any]] = [{"sleep": True}, {"work": True}, {}]
    kinds = zip(*(beds.several(f"Settings.categories[].{part}", 3) for part in ("key", "name")), roles, strict=True)
    challenge = {part: beds.word(f"Settings.challenges[].{part}") for part in ("key", "name")}
    prompts = beds.several("Settings.challenges[].prompts[]", 2)
    reason = beds.word("Settings.rests[].reason")
    trial = {part: beds.word(f"Settings.trials[].{part}") for part in ("key", "question")}
    return {
        "title": beds.word("Settings.title"),
        "calendars": [f"{beds.word('Settings.calendars[]')}.calendar"],
        "hours": {"usual": {beds.word("Settings.categories[].key"): ["00:00-06:00"]}},
        "places": [place | degrees | {"timezone": "Pacific/Chatham"}],
        "mood": {"words": beds.several("Settings.mood.words[]", 5)},
        "energy": {"words": beds.several("Settings.energy.words[]", 5)},
        "categories": [{"key": key, "name": name} | role for key, name, role in kinds],
        "habits": habits,
        "challenges": [challenge | {"from": start, "until": dt.date(2025, 2, 28), "prompts": prompts}],
        "rests": [{"from": dt.date(2025, 2, 3), "until": dt.date(2025, 2, 7), "habits": [keys[0]], "reason": reason}],
        "trials": [trial | {"habit": keys[0], "outcome": keys[1], "from": start, "days": 60, "seed": 1}],
        "routines": [{"title": beds.word("Settings.routines[].title"), "every": "FREQ=WEEKLY;BYDAY=FR", "from": start}],
        "prompts": {kind: [beds.word(f"Settings.prompts.{kind}[]")] for kind in ("week", "month", "year")},
        "lines": {"stop_words": [beds.word("Settings.lines.stop_words[]")]},
    }


def _day(beds: _Beds, i: int, date: dt.date) -> dict[str, Any]:
    """A day with varying numbers, so that there are rates, links and findings."""
    plain, counted, quota = beds.several("Settings.habits[].key", 3)
    asleep, work, other = beds.several("Settings.categories[].key", 3)
    done = i % 5 != 0
    late = f"0{5 + i % 3}:{15 * (i % 4):02d}"
    planned = {asleep: ["00:00-06:00", "22:30-24:00"], work: ["09:00-12:00"], other: ["18:00-19:00"]}
    weather = {"high": 731205 + i, "low": 614705 + i}  # far from any length in a drawing
    for name, value in weather.items():
        beds.secrets[str(value)] = Secret(f"Entry.weather.{name}", NUMBERS[f"Entry.weather.{name}"])
    task = {"title": beds.word("Entry.tasks[].title"), "since": date - dt.timedelta(days=i % 7), "estimate": 30}
    carried = i % 7 != 6
    shared = i % 2 == 0
    picture = f"{beds.word('Entry.pictures[]')}.jpg"
    words = " and ".join([beds.word("Entry.gratitude[]"), "the bread was warm"])
    return {
        "mood": 1 + (i * 7 % 4) + done,
        "energy": 1 + i % 5,
        "gratitude": [words, beds.several("Entry.gratitude[]", 2)[1]],
        "memory": beds.word("Entry.memory, shared" if shared else "Entry.memory"),
        "share": shared,
        "notes": [beds.word("Entry.notes[]")],
        "pictures": [picture],
        "captions": {picture: beds.word("Entry.captions{}, shared" if shared else "Entry.captions{}")},
        "place": beds.word("Settings.places[].key"),
        "weather": {"sky": beds.word("Entry.weather.sky")} | weather,
        "habits": {plain: done, counted: 5 * (i % 7), quota: i % 2 == 0},
        "challenges": {beds.word("Settings.challenges[].key"): i % 3 != 0} if date <= dt.date(2025, 2, 28) else {},
        "hours": {"planned": planned, "actual": planned | {asleep: [f"00:00-{late}", "23:00-24:00"]}},
        "appointments": [{"title": beds.word("Entry.appointments[].title"), "start": "14:00", "end": "15:00"}],
        "tasks": [
            task
            | ({"id": beds.word("Entry.tasks[].id")} if i < 7 else {"id": f"t{i // 7}"})
            | ({"status": "carried"} if carried else {"status": "done", "took": 45, "rank": 1})
        ],
    }


def _write(path: Path, page: dict[str, Any]) -> None:
    path.write_text(tomlkit.dumps(page), encoding="utf-8")
