"""Elapsed time between two local times is the same in a stand-in as in its zone.

The zones are from the IANA time zone database: with changes at 1:00 UTC, at midnight, before midnight, of half an hour,
in autumn first, and without changes.
"""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import polars as pl
import pytest

from journal.measures.clock_changes import stand_in, zone
from tests.journals import days_between

ZONES = (
    "Europe/Ljubljana",
    "Atlantic/Azores",
    "America/New_York",
    "America/Havana",
    "Asia/Beirut",
    "Australia/Lord_Howe",
    "Africa/Casablanca",
    "Asia/Tokyo",
)


def days(first: int, last: int, away: dict[dt.date, str] | None = None) -> pl.DataFrame:
    dates = list(days_between(dt.date(first, 1, 1), dt.date(last, 12, 31)))
    places = [(away or {}).get(date) for date in dates]
    return pl.DataFrame({"date": dates, "place": places}, schema={"date": pl.Date, "place": pl.String})


def passed(date: dt.date, where: dt.tzinfo) -> list[float]:
    """Elapsed seconds in a zone from 21:00 on the day before to each half hour up to 15:00."""
    begin = dt.datetime.combine(date, dt.time()) - dt.timedelta(hours=3)
    times = [begin + dt.timedelta(minutes=30 * i) for i in range(37)]
    moments = [time.replace(tzinfo=where).timestamp() for time in times]
    return [moment - moments[0] for moment in moments]


@pytest.mark.parametrize("name", ZONES)
def test_a_night_has_the_same_length_in_the_stand_in_as_in_the_zone(name: str) -> None:
    frame = days(2025, 2025)
    text = stand_in(frame, {"home": name})
    assert name.split("/")[1] not in text
    wrong = [date for date in frame["date"].to_list()[1:] if passed(date, zone(text)) != passed(date, ZoneInfo(name))]
    assert wrong == []
    assert stand_in(frame, {"home": text}) == text


def test_a_night_away_uses_the_clock_changes_of_that_place() -> None:
    spring, autumn = dt.date(2025, 3, 30), dt.date(2025, 10, 26)
    zones = {"home": "Europe/Ljubljana", "kyoto": "Asia/Tokyo"}
    text = stand_in(days(2025, 2025, away={spring: "kyoto"}), zones)
    assert passed(spring, zone(text)) == passed(spring, ZoneInfo("Asia/Tokyo"))
    assert passed(autumn, zone(text)) == passed(autumn, ZoneInfo("Europe/Ljubljana"))


def test_one_way_changes_do_not_add_up_to_a_day() -> None:
    springs = {date: "kyoto" for date in days(1960, 2025)["date"] if date.month < 7}
    frame = days(1960, 2025, away=springs)
    text = stand_in(frame, {"home": "America/New_York", "kyoto": "Asia/Tokyo"})
    autumn = dt.date(2025, 11, 2)
    assert passed(autumn, zone(text)) == passed(autumn, ZoneInfo("America/New_York"))
    assert stand_in(frame, {"home": text}) == text


def test_a_zone_can_be_loaded_by_name() -> None:
    assert zone("Europe/Ljubljana") is ZoneInfo("Europe/Ljubljana")
    assert passed(dt.date(2025, 3, 30), zone("changes")) == passed(dt.date(2025, 3, 30), dt.UTC)
