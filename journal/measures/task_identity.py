"""The rows of `Tables.tasks`: their order, and which are one task, by id, or without an id by title and first day."""

from __future__ import annotations

import polars as pl


def in_order(tasks: pl.DataFrame) -> pl.DataFrame:
    """The rows by date and position. Those of `Tables.tasks` are so already, and to sort them copies every column.

    >>> import datetime as dt
    >>> rows = pl.DataFrame({"date": [dt.date(2025, 3, 11), dt.date(2025, 3, 11)], "position": [0, 1]})
    >>> in_order(rows) is rows, in_order(rows.reverse()).equals(rows)
    (True, True)
    """
    date, position = pl.col("date"), pl.col("position")
    follows = (date > date.shift()) | ((date == date.shift()) & (position >= position.shift()))
    return tasks if tasks.select(follows.all()).item() else tasks.sort("date", "position", maintain_order=True)


def identified(tasks: pl.DataFrame) -> pl.DataFrame:
    """`Tables.tasks` with `first` (Date, the task's first day according to the row) and `task` (String, a task's name).

    All rows of one task share `task`. The first row of a task often has no id, since it gets one when it is first
    carried. A row without an id takes the id of another row with the same title and first day.
    """
    return owned(tasks).with_columns(task=name(pl.col("own"), "first", "title")).drop("own")


def owned(tasks: pl.DataFrame) -> pl.DataFrame:
    """The rows with `first` and `own`, the id of the row or that of another row of the task; null if there is none."""
    rows = tasks.with_columns(first=pl.coalesce("since", "date"))
    known = (
        rows.filter(pl.col("id").is_not_null())
        .unique(["title", "first"], keep="first", maintain_order=True)
        .select("title", "first", pl.col("id").alias("known"))
    )
    joined = rows.join(known, on=["title", "first"], how="left", maintain_order="left")
    return joined.with_columns(own=pl.coalesce("id", "known"))


def name(own: pl.Expr, first: str, title: str) -> pl.Expr:
    """The name of a task: from its id, or else from its first day (which may be null) and its title."""
    return pl.coalesce(
        pl.format("id:{}", own), pl.format("title:{}:{}", pl.col(first).cast(pl.String).fill_null(""), title)
    )


def related(tasks: pl.DataFrame, some: pl.DataFrame) -> pl.DataFrame:
    """The rows of the tasks that `some` rows belong to, and rows of others with the same title or id.

    For these tasks, `identified` gives the same of them as of all rows: every row that one of theirs could take an id
    from is among them.

    >>> rows = pl.DataFrame({"title": ["Cut", "Cut", "Cut board", "Fold"], "id": [None, "t7", "t7", None]})
    >>> related(rows, rows[:1]).get_column("title").to_list()
    ['Cut', 'Cut', 'Cut board']
    """
    of_title = tasks.filter(pl.col("title").is_in(some.get_column("title").implode()))
    ids = pl.concat([some.get_column("id"), of_title.get_column("id")]).drop_nulls().implode()
    of_id = tasks.filter(pl.col("id").is_in(ids))
    titles = pl.concat([some.get_column("title"), of_id.get_column("title")]).implode()
    return tasks.filter(pl.col("title").is_in(titles) | pl.col("id").is_in(ids))


def is_alone(tasks: pl.DataFrame) -> pl.Series:
    """Whether a row is the only one of its task for certain: most are, and need no look at any other row.

    It has neither an id nor a first day, and no other row has a title and first day of the same hash.

    >>> import datetime as dt
    >>> day = dt.date(2025, 3, 11)
    >>> rows = pl.DataFrame({"date": [day, day, day], "title": ["Cut", "Fold", "Fold"], "id": [None, None, "t7"],
    ...     "since": None}, schema_overrides={"since": pl.Date})
    >>> is_alone(rows).to_list()
    [True, False, False]
    """
    first = pl.coalesce("since", "date").to_physical()
    key = pl.col("title").hash().xor(first.hash())
    return tasks.select(pl.col("id").is_null() & pl.col("since").is_null() & ~key.is_duplicated()).to_series()
