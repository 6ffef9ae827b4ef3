"""Chains of tasks against a slow count, for random pages: ids that come and go, new titles, days to come."""

from __future__ import annotations

import datetime as dt
import random
from typing import Any

import polars as pl
import pytest

from journal.entry import Undated
from journal.frames import Row
from journal.measures import carried_tasks, task_identity, tasks
from journal.measures.task_frames import TaskFrames

FIRST, TODAY = dt.date(2025, 3, 1), dt.date(2025, 3, 10)
SCHEMA = {
    "date": pl.Date, "position": pl.Int32, "id": pl.String, "title": pl.String, "status": pl.String, "rank": pl.Int32,
    "estimate": pl.Float64, "took": pl.Float64, "since": pl.Date,
}  # fmt: skip


def pages(rng: random.Random) -> list[Row]:
    rows = []
    for day in range(16):
        for position in range(rng.randrange(4)):
            date = FIRST + dt.timedelta(days=day)
            since = rng.choice([None, None, FIRST + dt.timedelta(days=rng.randrange(16)), FIRST])
            status = rng.choice(["open", "done", "carried", "dropped"])
            numbers = [rng.choice([None, 1, 2]), rng.choice([None, 30.0, 45.0]), rng.choice([None, 10.0, 20.0])]
            row = [
                date,
                position,
                rng.choice([None, None, "t1", "t2"]),
                rng.choice("ABCDEFGH"[: rng.choice([3, 8])]),
                status,
                *numbers,
                since,
            ]
            rows.append(dict(zip(SCHEMA, row, strict=True)))
    return rows


def slowly(frame: pl.DataFrame) -> list[dict[str, Any]]:
    """One task after the other, from its rows in order."""
    chains: dict[str, list[Row]] = {}
    for row in task_identity.identified(frame).sort("date", "position").iter_rows(named=True):
        chains.setdefault(row["task"], []).append(row)
    result = []
    for name, rows in chains.items():
        past = [row for row in rows if row["date"] <= TODAY]
        known = past or [row for row in rows if row["date"] == rows[0]["date"]]
        final = past[-1]["status"] if past else "open"
        status = final if final in ("done", "dropped") else "open"
        since = min(*(row["first"] for row in rows), rows[0]["date"])
        took = [row["took"] for row in past if row["took"] is not None]
        until = TODAY if status == "open" else known[-1]["date"]
        result.append(
            {
                "task": name,
                "title": known[-1]["title"],
                "since": since,
                "status": status,
                "last": known[-1]["date"],
                "days": max(0, (until - since).days),
                "carried": sum(row["status"] == "carried" for row in past),
                "rank": known[-1]["rank"],
                "estimate": next((row["estimate"] for row in reversed(known) if row["estimate"] is not None), None),
                "took": sum(took) if took else None,
                "id": next((row["id"] for row in reversed(rows) if row["id"] is not None), None),
                "was_ranked": any(row["rank"] is not None for row in known),
            }
        )
    return result


@pytest.mark.parametrize("seed", range(60))
def test_chains_are_those_of_a_slow_count(seed: int) -> None:
    frame = pl.DataFrame(pages(random.Random(seed)), schema=SCHEMA)
    assert tasks.chains(frame, today=TODAY).rows(named=True) == slowly(frame)


def test_without_a_task_there_is_no_chain() -> None:
    assert tasks.chains(pl.DataFrame(schema=SCHEMA), today=TODAY).is_empty()


@pytest.mark.parametrize("seed", range(40))
def test_rows_that_are_a_settled_task_of_their_own_need_no_look(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The tasks to decide are those of all rows, with undated tasks that have the name of a row among them."""
    rng = random.Random(seed)
    frame = pl.DataFrame(pages(rng), schema=SCHEMA)
    named = frame.select("title", "estimate", pl.coalesce("since", "date").alias("since"), "id").head(3)
    undated = named.with_columns(estimate=pl.lit(None, pl.Float64)).cast(carried_tasks.UNDATED)  # type: ignore[arg-type]
    quick = carried_tasks.to_decide(frame, undated, today=TODAY)
    monkeypatch.setattr(carried_tasks, "_unsettled", lambda tasks, _undated: tasks)
    assert quick.equals(carried_tasks.to_decide(frame, undated, today=TODAY))


@pytest.mark.parametrize("seed", range(60))
def test_related_rows_name_the_tasks_of_some_rows_as_all_rows_do(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = random.Random(seed)
    frame = pl.DataFrame(pages(rng), schema=SCHEMA).with_row_index("row")
    every = task_identity.identified(frame)
    some = every.sample(rng.randrange(1, 4), seed=seed)
    of_some = pl.col("task").is_in(some.get_column("task").implode())
    related = task_identity.related(frame, frame.filter(pl.col("row").is_in(some.get_column("row").implode())))
    assert task_identity.identified(related).filter(of_some).equals(every.filter(of_some))
    first, last = sorted(rng.sample(sorted(set(frame.get_column("date"))), 2))
    quick = carried_tasks.carried_most(frame, first, last, today=TODAY)
    monkeypatch.setattr(task_identity, "related", lambda tasks, _some: tasks)
    assert quick.equals(carried_tasks.carried_most(frame, first, last, today=TODAY))


def test_frames_as_of_a_day_are_those_of_its_rows() -> None:
    frame = pl.DataFrame(pages(random.Random(1)), schema=SCHEMA)
    made = TaskFrames(frame, Undated(), today=TODAY)
    for day in (TODAY, TODAY + dt.timedelta(days=2)):
        past = frame.filter(pl.col("date") <= day)
        assert made.lives_on(day).equals(tasks.lives(frame, today=day))
        assert made.past_lives_on(day).equals(tasks.lives(past, today=day)) and past.height < frame.height
    assert made.lives_on(TODAY) is made.lives
    alone = TaskFrames(past, Undated(), today=day)
    assert alone.past_lives is alone.lives, "without later rows there is nothing to leave out"
