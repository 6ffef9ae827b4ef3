"""The byte of a day, against the frames of the same pages. tests/measures/test_running_streak.py has the streaks."""

from __future__ import annotations

import datetime as dt
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.measures import day_codes, plain_streaks
from tests.journals import write
from tests.measures.test_running_streak import FIRST

_MARKS = st.sampled_from([True, False, "rest", None, 0, 7, 20, 31.5])


@given(st.lists(st.tuples(_MARKS, st.booleans()), max_size=9), st.sampled_from([None, 20]), st.booleans())
@settings(max_examples=60, deadline=None)
def test_a_day_has_the_byte_that_the_frames_give_it(
    written: list[tuple[bool | float | str | None, bool]], target: int | None, is_limit: bool
) -> None:
    walk = {"key": "walk", "name": "Walk", "from": FIRST, "times": 2, "per": "week"}
    walk |= {"target": target, "unit": "pages", "aim": "at most" if is_limit else "at least"} if target else {}
    marks = [(m, asked) for m, asked in written if target or isinstance(m, bool | str | None)]
    pages = {
        FIRST + dt.timedelta(days=n): {"asked": asked, "habits": {} if mark is None else {"walk": mark}}
        for n, (mark, asked) in enumerate(marks)
    }
    with tempfile.TemporaryDirectory() as directory:
        off = {"from": FIRST + dt.timedelta(days=2), "until": FIRST + dt.timedelta(days=4)}
        opened = journal.open(write(Path(directory), pages, habits=[walk], rests=[off]), today=FIRST, cache=False)
        until = FIRST + dt.timedelta(days=12)
        (habit,) = day_codes.encoded(opened.marks, opened.settings, until=until)
        empty = day_codes.without_pages(opened.settings, habit)
    assert len(empty) == len(habit.codes) and empty.replace(b"r", b"u") == b"u" * len(empty)
    for n, byte in enumerate(empty):
        mark, asked = marks[n] if n < len(marks) else (None, False)
        is_off = byte == plain_streaks.REST[0]
        assert plain_streaks.code(habit.spans[0], mark, off=is_off, asked=asked) == habit.codes[n : n + 1], n
