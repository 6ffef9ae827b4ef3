"""The rows of tasks that the form offers for the next day: those on its page, and the undated ones to choose from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

import polars as pl

from journal.entry import Entry, Undated
from journal.evening import carryover
from journal.evening.form_schema import PlannedTask, TaskOffer, UndatedOffer
from journal.folder.identity import identities


def planned(
    entry: Entry, date: dt.date, of_day: list[TaskOffer], lives: pl.DataFrame, routines: Collection[str]
) -> list[PlannedTask]:
    """Return the tasks on the next day's page, each with the task of the day that it continues.

    `routines` are the titles that come round on that day.
    """
    carried = [task for task in of_day if task.status == "carried"]
    tasks = []
    for task in carryover.offers_of_page(entry, date, lives):
        source = next((carried_task for carried_task in carried if _is_same_task_offer(carried_task, task)), None)
        tasks.append(
            PlannedTask(
                ref=task.ref,
                title=task.title,
                status=task.status,
                rank=task.rank,
                estimate=task.estimate,
                since=task.since,
                id=task.id,
                said=task.said,
                source_ref=source.ref if source else None,
                comes_round=task.title in routines and task.since in (None, date.isoformat()),
            )
        )
    return tasks


def _is_same_task_offer(a: TaskOffer, b: TaskOffer) -> bool:
    if a.id and b.id:
        return a.id == b.id
    return (a.title, a.since) == (b.title, b.since)


def undated_rows(undated: Undated, day: dt.date) -> list[UndatedOffer]:
    """Return the undated tasks that can be taken to the next day, as of a day."""
    names = [
        {k: v for k, v in (("title", t.title), ("since", t.since), ("id", t.id)) if v is not None}
        for t in undated.tasks
    ]
    return [
        UndatedOffer(
            ref=ref,
            title=task.title,
            estimate=task.estimate,
            since=task.since.isoformat() if task.since else None,
            said=carryover.since_words(task.since, day) if task.since else "",
        )
        for task, ref in zip(undated.tasks, identities("tasks", names), strict=True)
        if task.since is None or task.since <= day  # a task that began later cannot be on a day that is closed late
    ]
