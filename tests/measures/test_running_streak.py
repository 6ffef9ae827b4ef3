"""The streaks that are counted without frames, against the frames of the same pages.

`log` tells the one that runs, counted backwards over pages, and `show streaks` all of them, from one byte a day.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.folder import reading
from journal.folder.day_marks import MarkReader, TooManyDaysError
from journal.measures import day_codes, plain_streaks, trial_care, trial_lots
from journal.measures.running_streak import running
from journal.measures.streaks import streaks
from journal.settings import WEEKDAYS
from tests.choosing import Chooser
from tests.journals import write

FIRST = dt.date(2024, 2, 12)
RULES = ["FREQ=DAILY", "FREQ=WEEKLY;BYDAY=MO,WE,FR", "FREQ=DAILY;INTERVAL=2", "FREQ=MONTHLY;BYDAY=1MO,-1SU"]
MARKS = [True] * 12 + [False, "rest", None, None, 0, 7, 20, 31, "yes", -1]
"""Marks of a day: mostly done, so that runs are long. The last two are invalid, and 7 is where there is no target."""


def definitions(choose: Chooser, key: str) -> list[dict[str, Any]]:
    """Up to three definitions of a habit that follow each other, with gaps, ends and changes of unit and quota."""
    start, made = FIRST + dt.timedelta(days=choose.one(range(15))), []
    for _ in range(choose.one([1, 1, 2, 3])):
        block: dict[str, Any] = {"key": key, "name": key, "from": start}
        kind = choose.one(["rule", "rule", "week", "week", "month"])
        block |= {"every": choose.one(RULES)} if kind == "rule" else {"times": choose.one([1, 2, 3, 5, 7]), "per": kind}
        if choose.flip():
            block |= {"target": 20, "unit": "pages", "aim": choose.one(["at least", "at most"])}
        length = choose.one([3, 7, 14, 20, 31, 45])
        if choose.one([False, False, True]):
            block["until"] = start + dt.timedelta(days=choose.one([length // 2, length]))
        start += dt.timedelta(days=length)
        made.append(block)
    return made


MOODS: list[list[int | None]] = [[None], [1, 2, 2, None], [1, 2, 4, 5, None]]
"""Moods of a journal: none; so low that they end a trial once there are fourteen; and some of them low."""


def trials(choose: Chooser, keys: list[str]) -> list[dict[str, Any]]:
    """Trials of some habits that begin before, in or after the first weeks, some of them stopped."""
    made = []
    for n, key in enumerate(keys):
        start = FIRST + dt.timedelta(days=choose.one(range(-5, 50)))
        trial = {"key": f"t{n}", "question": "Does it help?", "habit": key, "from": start, "seed": choose.byte()}
        trial |= {"days": choose.one([1, 9, 24, 40]), "block": choose.one([2, 3, 5])}
        if choose.flip(4):
            trial["stopped"] = start + dt.timedelta(days=choose.one(range(12)))
        made.append(trial)
    return made


def page(choose: Chooser, keys: list[str], moods: list[int | None]) -> dict[str, Any] | None:
    """A page of a day, None without one: marks with or without a mood, or a mood alone, asked or not."""
    kind = choose.one(["marks"] * 8 + ["no page", "mood", "plan", "bad mood"])
    bare: dict[str, dict[str, Any] | None] = {
        "no page": None, "mood": {"mood": 4}, "plan": {"notes": ["Later."]}, "bad mood": {"mood": 17}
    }  # fmt: skip
    if kind in bare:
        return bare[kind]
    marks = {key: choose.one(MARKS) for key in keys}
    unasked = {"asked": False} if choose.one([False, False, True]) else {}
    mood = choose.one(moods)
    noted = {} if mood is None else {"mood": mood}
    return unasked | noted | {"habits": {key: mark for key, mark in marks.items() if mark is not None}}


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_they_are_the_streaks_of_the_frames(data: st.DataObject) -> None:
    choose = Chooser(data.draw, at_once=1200)
    keys = ["walk", "read", "swim", "sew"]
    days = [FIRST + dt.timedelta(days=n) for n in range(choose.one([40, 70, 100]))]
    moods = choose.one(MOODS)
    pages = {day: written for day in days if (written := page(choose, keys, moods)) is not None}
    off = choose.one(days)
    rests = [{"from": off, "until": off + dt.timedelta(days=choose.one([0, 6, 13])), "habits": keys[:2]}]
    with tempfile.TemporaryDirectory() as directory:
        folder = write(
            Path(directory),
            pages,
            habits=[block for key in keys for block in definitions(choose, key)],
            rests=rests if choose.flip() else [],
            trials=trials(choose, keys[: choose.one([0, 2, 4])]),
            blank=choose.one(["breaks", "bridges"]),
            unmarked=choose.one(["missed", "blank"]),
            week_starts=choose.one(WEEKDAYS),
        )
        for path in choose.one([[], sorted(folder.glob("*/*-1*.toml"))]):  # a page may be at any place
            path.rename(folder / path.name)
        basis = reading.read_settings(folder)
        kept, until = journal.open(folder, today=choose.one(days)), days[-1] + dt.timedelta(days=90)
        ended = trial_care.interrupted(kept.settings.trials, kept.tables.days, today=until)
        marks = trial_lots.with_free_days(kept.tables.marks, ended)
        habits = day_codes.encoded(marks, kept.settings, until=until, trials=ended)
        settled = max((trial.interrupted for trial in ended if trial.interrupted), default=FIRST)
        for today in (days[-1], choose.one(days), days[-1] + dt.timedelta(days=choose.one([1, 5, 30]))):
            book = journal.open(folder, today=today)
            frame = streaks(book.occasions, today=today, blank=book.settings.blank)
            bridges, week_start = book.settings.blank == "bridges", WEEKDAYS.index(book.settings.week_starts)
            rows = plain_streaks.streak_rows(habits, today, bridges=bridges, week_start=week_start)
            assert today < settled or [tuple(row) for row in rows] == frame.rows(), today
            counted = frame.rows_by_key("habit", named=True)
            reader = MarkReader(folder, basis.known, most=1000)
            for key in keys:
                told = running(basis.settings, key, today, reader.on)
                expected = [(row["unit"], row["current"], row["pending"]) for row in counted.get(key, [])]
                assert ([] if told is None else [tuple(told)]) == expected, (key, today)


def test_pages_are_read_up_to_a_limit(tmp_path: Path) -> None:
    """A run of years is counted by the opened journal."""
    walk = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": FIRST}
    days = [FIRST + dt.timedelta(days=n) for n in range(12)]
    write(tmp_path, {day: {"habits": {"walk": True}} for day in days}, habits=[walk])
    basis = reading.read_settings(tmp_path)
    assert running(basis.settings, "walk", days[-1], MarkReader(tmp_path, basis.known, most=12).on) == (
        "occasion",
        12,
        False,
    )
    with pytest.raises(TooManyDaysError):
        running(basis.settings, "walk", days[-1], MarkReader(tmp_path, basis.known, most=11).on)


def test_only_the_days_of_the_run_are_read(tmp_path: Path) -> None:
    walk = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": FIRST}
    days = [FIRST + dt.timedelta(days=n) for n in range(12)]
    write(tmp_path, {day: {"habits": {"walk": day != days[7]}} for day in days}, habits=[walk])
    basis = reading.read_settings(tmp_path)
    reader = MarkReader(tmp_path, basis.known, most=5)
    assert running(basis.settings, "walk", days[-1], reader.on) == ("occasion", 4, False)
