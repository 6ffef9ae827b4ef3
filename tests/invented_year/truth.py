"""The planted effects as they appear in the year: plain differences of mean mood, for the README and its test."""

from __future__ import annotations

from tests.invented_year.marks import READ_TARGET, SCREEN_LIMIT
from tests.invented_year.story import Day

HABITS = ("walk", "read", "stretch", "practise", "bench", "call", "stock", "swim", "screen")


def kept(habit: str, mark: object) -> bool:
    """Whether a mark counts as done."""
    if isinstance(mark, int) and not isinstance(mark, bool):
        return mark <= SCREEN_LIMIT if habit == "screen" else mark >= READ_TARGET
    return mark is True


def difference(days: list[Day], habit: str, lag: int) -> tuple[int, int, float]:
    """Days done, days not done, and the difference of their mean moods `lag` days later (done - not done)."""
    sides: dict[bool, list[int]] = {True: [], False: []}
    for day, later in zip(days, days[lag:], strict=False):
        mark = day.marks.get(habit)
        if mark is not None and mark != "rest" and later.mood is not None:
            sides[kept(habit, mark)].append(later.mood)
    done, missed = sides[True], sides[False]
    return len(done), len(missed), sum(done) / len(done) - sum(missed) / len(missed)


def table(days: list[Day], planted: dict[tuple[str, int], float]) -> str:
    """A Markdown table by habit: the differences of the same and the next day, each with its planted size."""
    rows = ["| habit | days done | not done | same day | next day |", "|---|---|---|---|---|"]
    for habit in HABITS:
        done, missed, same = difference(days, habit, 0)
        _, _, after = difference(days, habit, 1)
        cells = [f"{value:+.2f} ({planted.get((habit, lag), 0):+.2f})" for lag, value in ((0, same), (1, after))]
        cells = [text.replace("(+0.00)", "(0)") for text in cells]
        rows.append(f"| {habit} | {done} | {missed} | {cells[0]} | {cells[1]} |")
    return "\n".join(rows)
