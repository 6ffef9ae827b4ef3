"""The journal as tables for other programs: a file per frame, and a dictionary of their columns.

Parquet has typed values. CSV has the same rows as text (RFC 4180, UTF-8), protected against formulas (`csv_text`).
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Literal

import polars as pl

from journal.export import data_dictionary, picture_exports
from journal.export.csv_text import as_csv
from journal.export.formats import ExportOutput, Progress
from journal.language.catalogue import _
from journal.measures import completion, mood, streaks
from journal.settings import Settings

if TYPE_CHECKING:
    from journal import Journal
    from journal.periods import Period

TableFormat = Literal["csv", "parquet"]

HABITS = {
    "habit": pl.String, "name": pl.String, "from": pl.Date, "until": pl.Date, "every": pl.String, "times": pl.Int32,
    "per": pl.String, "target": pl.Float64, "unit": pl.String, "aim": pl.String,
}  # fmt: skip
CHALLENGES = {"challenge": pl.String, "name": pl.String, "from": pl.Date, "until": pl.Date}
CATEGORIES = {"category": pl.String, "name": pl.String, "sleep": pl.Boolean, "work": pl.Boolean}
PLACES = {"place": pl.String, "name": pl.String, "timezone": pl.String}


def frames(journal: Journal) -> dict[str, pl.DataFrame]:
    """Every frame by name: the recorded tables, the names of their keys, and the computed tables.

    `column_descriptions.FRAMES` describes their columns; a test compares the two.
    """
    tables, settings, today = journal.tables, journal.settings, journal.today
    occasions = journal.occasions
    return {
        "days": tables.days,
        "marks": journal.marks.cast(dict.fromkeys(("per", "aim", "mark"), pl.String)),
        "ticks": tables.ticks,
        "lines": tables.lines,
        "pictures": _pictures(tables.pictures),
        "hours": tables.hours.cast({"layer": pl.String}),
        "appointments": tables.appointments,
        "tasks": tables.tasks,
        "reflections": tables.reflections,
        "decisions": tables.decisions,
        **_names(settings),
        "states": journal.states.select("habit", "date", "state", pl.col("mark").cast(pl.String), "value", "target"),
        "occasions": occasions,
        "streaks": streaks.streaks(occasions, today=today, blank=settings.blank),
        "rates_by_month": completion.rates(
            occasions, by="month", week_starts=settings.week_starts, known=journal.dependence
        ),
        "mood_by_day": mood.trailing(tables.days),
        "nights": journal.nights,
    }


def files(journal: Journal, form: TableFormat) -> dict[str, bytes]:
    """The frames and their dictionary, by file name. An empty journal has empty frames.

    >>> import datetime as dt, journal, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = pathlib.Path(folder, "journal.toml").write_text('title = "Spine"')
    ...     _ = pathlib.Path(folder, "2025-03-14.toml").write_text('notes = ["=1+1"]')
    ...     tables = files(journal.open(folder, today=dt.date(2025, 3, 14)), "csv")
    >>> tables["lines.csv"]
    b"date,kind,position,text,shared\\r\\n2025-03-14,note,0,'=1+1,false\\r\\n"
    """
    every = frames(journal)
    columns = data_dictionary.columns(every)
    return {f"{name}.{form}": _bytes(frame, form) for name, frame in every.items()} | {
        "dictionary.md": data_dictionary.as_markdown(columns).encode(),
        "dictionary.csv": _bytes(columns, "csv"),
    }


def write_csv(journal: Journal, _year: Period, progress: Progress) -> ExportOutput:
    """All tables as CSV, for the year page."""
    progress(_("Writing the tables"))
    return ExportOutput(files(journal, "csv"))


def write_parquet(journal: Journal, _year: Period, progress: Progress) -> ExportOutput:
    """All tables as Parquet, for the year page."""
    progress(_("Writing the tables"))
    return ExportOutput(files(journal, "parquet"))


def _bytes(frame: pl.DataFrame, form: TableFormat) -> bytes:
    if form == "csv":
        return as_csv(frame, "\r\n").encode()
    buffer = io.BytesIO()
    frame.write_parquet(buffer)
    return buffer.getvalue()


def _pictures(pictures: pl.DataFrame) -> pl.DataFrame:
    """The pictures with their names in exports: a camera's name has its date."""
    return pictures.select(
        "date",
        "position",
        picture=picture_exports.name_of(pl.col("date"), pl.col("position")),
        caption="caption",
        shared="shared",
    )


def _names(settings: Settings) -> dict[str, pl.DataFrame]:
    """The definitions of journal.toml behind the keys: habits, challenges, categories and places."""
    habits = [
        (
            h.key,
            h.name,
            h.start,
            h.until,
            h.every,
            h.times,
            h.per,
            h.target,
            h.unit,
            h.aim if h.target is not None else None,
        )
        for h in settings.habits
    ]
    challenges = [(c.key, c.name, c.start, c.until) for c in settings.challenges]
    categories = [(c.key, c.name, c.sleep, c.work) for c in settings.categories]
    places = [(p.key, p.name, p.timezone) for p in settings.places]
    return {
        "habits": pl.DataFrame(habits, HABITS, orient="row"),
        "challenges": pl.DataFrame(challenges, CHALLENGES, orient="row"),
        "categories": pl.DataFrame(categories, CATEGORIES, orient="row"),
        "places": pl.DataFrame(places, PLACES, orient="row"),
    }
