"""Sunrise and sunset: against published and independent times, at the poles, across clock changes, at random places."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import ephem
import numpy as np
import polars as pl
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from journal.errors import UsageError
from journal.settings import Place, Settings
from journal.sun import rise_set
from journal.sun.position import HORIZON_DEGREES, Sky
from tests.references import load

CHECKS = load("sun")
COMPUTED = [check for check in CHECKS if "events" in check["expected"]]
PRINTED = [check for check in CHECKS if "events" not in check["expected"]]
STATES = {"normal": "normal", "polar day": "up all day", "polar night": "down all day"}


def row(date: dt.date, latitude: float, longitude: float, timezone: str) -> dict[str, Any]:
    return rise_set.days(date, date, latitude, longitude, timezone).row(0, named=True)


def where(inputs: dict[str, Any]) -> tuple[dt.date, float, float, str]:
    # Etc/GMT+7 is seven hours *behind* Greenwich (POSIX).
    zone = inputs.get("tz") or f"Etc/GMT{-inputs['utc_offset_hours']:+d}"
    return dt.date.fromisoformat(inputs["date"]), inputs["lat"], inputs["lon"], zone


def seconds_apart(one: str, other: str) -> float:
    return abs((dt.datetime.fromisoformat(one) - dt.datetime.fromisoformat(other)).total_seconds())


def within(check: dict[str, Any]) -> float:
    """The tolerance in seconds: 10 below 60 degrees of latitude, else 60, or the check's own if it is smaller."""
    allowed = 10 if abs(check["inputs"]["lat"]) < 60 else 60
    own: float = check["tolerance"].get("tight_seconds", check["tolerance"]["seconds"])
    return min(own, allowed)


# --- External times ---------------------------------------------------------------------------------------------------


def test_all_checks_are_present() -> None:
    assert (len(COMPUTED), len(PRINTED)) == (50, 5)


@pytest.mark.parametrize("check", COMPUTED, ids=lambda check: check["name"])
def test_events_of_a_date(check: dict[str, Any]) -> None:
    date, latitude, longitude, zone = where(check["inputs"])
    sun = rise_set.crossings(date, date, latitude, longitude, zone)
    expected = check["expected"]["events"]
    assert sun.get_column("kind").to_list() == [event["kind"] for event in expected]
    for at, event in zip(sun.get_column("at"), expected, strict=True):
        assert seconds_apart(at, event["local"]) <= within(check)
        assert at[-6:] == event["local"][-6:]  # the offset, right on the days of a clock change


@pytest.mark.parametrize("check", COMPUTED, ids=lambda check: check["name"])
def test_state_and_daylight_of_a_date(check: dict[str, Any]) -> None:
    sun, expected = row(*where(check["inputs"])), check["expected"]
    assert sun["state"] == STATES[expected["state"]]
    if "daylight_around_noon" in expected:
        daylight = expected["daylight_around_noon"]
        assert seconds_apart(sun["rise"], daylight["rise"]) <= within(check)
        assert seconds_apart(sun["set"], daylight["set"]) <= within(check)
        assert sun["day_minutes"] * 60 == pytest.approx(daylight["seconds"], abs=2 * within(check))
        assert (sun["set_minute"] >= 1440) == daylight["set_after_local_midnight"]
        assert (sun["rise_minute"] < 0) == daylight["rise_before_local_midnight"]
    elif expected["events"]:  # Tromso, 17 May 2024: up at 01:08 for 69 days
        assert (sun["set"], sun["rise"][:16]) == (None, "2024-05-17T01:08")
    else:
        assert (sun["rise"], sun["set"]) == (None, None)
        assert sun["day_minutes"] == {"polar day": 1440, "polar night": 0}[expected["state"]]


@pytest.mark.parametrize("check", PRINTED, ids=lambda check: check["name"])
def test_printed_tables(check: dict[str, Any]) -> None:
    date, latitude, longitude, zone = where(check["inputs"])
    sun = row(date, latitude, longitude, zone)
    for key, printed in check["expected"].items():
        kind = key.removeprefix("printed_")
        if kind not in ("rise", "set"):
            continue
        # Two of the five are printed to the minute, for a rounded position, and have a tolerance for that.
        allowed = check["tolerance"]["seconds"] if key.startswith("printed_") else 10
        assert seconds_apart(sun[kind], f"{date}T{printed}{sun[kind][-6:]}") <= allowed
    for engine, shift in (("skyfield", 0), ("engines", 0), ("engines_16", 0), ("engines_17", 1)):
        times = check["expected"].get(engine, {})
        day = row(date + dt.timedelta(shift), latitude, longitude, zone)
        for kind, printed in (times.get("skyfield", times)).items():
            assert seconds_apart(day[kind], f"{day['date']}T{printed}{day[kind][-6:]}") <= 10


# --- Near the poles, and across clock changes -------------------------------------------------------------------------


def test_the_start_and_end_of_a_midnight_sun() -> None:
    """USNO, for 69.5 N 19 E at UT+1, quoted in `sun`: up on 18 May 2014 at 00:13, and down next on 25 July at 23:20."""
    frame = rise_set.days(dt.date(2014, 5, 16), dt.date(2014, 7, 27), 69.5, 19.0, "Etc/GMT-1")
    states = frame.get_column("state").to_list()
    assert states == ["normal"] * 3 + ["up all day"] * (len(states) - 6) + ["normal"] * 3
    first, last = frame.row(2, named=True), frame.row(-3, named=True)
    assert (first["date"], first["set"]) == (dt.date(2014, 5, 18), None)
    assert (last["date"], last["rise"]) == (dt.date(2014, 7, 25), None)
    # The tolerance of the family for the day before: the printed position is rounded, and the sun only grazes.
    assert seconds_apart(first["rise"], "2014-05-18T00:13:00+01:00") <= 420
    assert seconds_apart(last["set"], "2014-07-25T23:20:00+01:00") <= 420
    assert (rise_set.words(first)[1], rise_set.words(last)[0]) == ("no sunset", "No sunrise")


def test_a_sunset_after_midnight_belongs_to_its_day() -> None:
    sun = row(dt.date(2024, 6, 21), 64.1466, -21.9426, "Atlantic/Reykjavik")
    assert sun["set"] == "2024-06-22T00:04:00+00:00"
    assert sun["set_minute"] == 1444
    assert rise_set.words(sun, clock=12)[1] == "sunset 12:04 am after midnight"


@pytest.mark.parametrize(("latitude", "ups"), [(90, 1), (-90, 1)])
def test_a_pole_has_one_rise_and_one_set_a_year(latitude: float, ups: int) -> None:
    frame = rise_set.days(dt.date(2025, 1, 1), dt.date(2025, 12, 31), latitude, 0, "UTC")
    assert frame.get_column("rise").count() == frame.get_column("set").count() == ups
    assert set(frame.get_column("state")) == {"normal", "up all day", "down all day"}


@pytest.mark.parametrize(("date", "hours"), [(dt.date(2025, 3, 30), 1), (dt.date(2025, 10, 26), -1)])
def test_a_clock_change_moves_the_clock_and_not_the_sun(date: dt.date, hours: int) -> None:
    """Ljubljana, where summer time began on 30 March 2025 at 02:00 and ended on 26 October at 03:00."""
    local = rise_set.days(date - dt.timedelta(1), date, 46.05, 14.51, "Europe/Ljubljana")
    plain = rise_set.days(date - dt.timedelta(1), date, 46.05, 14.51, "Etc/GMT-1")
    assert local.select("day_minutes", "change_seconds").equals(plain.select("day_minutes", "change_seconds"))
    offsets = [rise[-6:] for rise in local.get_column("rise")]
    assert offsets == (["+01:00", "+02:00"] if hours == 1 else ["+02:00", "+01:00"])
    moved = local.item(1, "rise_minute") - local.item(0, "rise_minute")
    assert moved == pytest.approx(60 * hours, abs=3)


def test_a_date_that_a_zone_skipped() -> None:
    """Samoa went from 29 to 31 December 2011 (tz database, Pacific/Apia)."""
    frame = rise_set.days(dt.date(2011, 12, 29), dt.date(2011, 12, 31), -13.83, -171.77, "Pacific/Apia")
    assert frame.get_column("state").to_list() == ["normal", None, "normal"]
    assert rise_set.words(frame.row(1, named=True)) == ("This date is left out here",)


# --- Random places and days -------------------------------------------------------------------------------------------

DATES = st.dates(dt.date(1900, 1, 1), dt.date(2199, 12, 31))
ZONES = st.sampled_from(["UTC", "Europe/Ljubljana", "Pacific/Kiritimati", "America/Adak", "Pacific/Apia"])


@settings(max_examples=60, deadline=None)
@given(date=DATES, latitude=st.floats(-90, 90), longitude=st.floats(-180, 180), zone=ZONES)
@example(date=dt.date(1900, 1, 1), latitude=90, longitude=180, zone="Europe/Ljubljana")
@example(date=dt.date(2199, 12, 31), latitude=-90, longitude=-180, zone="Pacific/Apia")
def test_random_days_are_consistent(date: dt.date, latitude: float, longitude: float, zone: str) -> None:
    frame = rise_set.days(date, date + dt.timedelta(2), latitude, longitude, zone)
    assert frame.schema == pl.Schema(rise_set.SUN)
    for sun in frame.iter_rows(named=True):
        texts = rise_set.words(sun, clock=12)
        assert texts and all(texts)
        if sun["state"] is None:
            continue
        assert 0 <= sun["day_minutes"] <= 1441  # a day whose length changes fast can exceed 24 h by seconds
        rise, set_ = sun["rise"], sun["set"]
        if sun["state"] != "normal":
            assert (rise, set_) == (None, None)
            continue
        assert rise or set_
        if rise and set_ and abs(latitude) < 89:
            assert dt.datetime.fromisoformat(rise) < dt.datetime.fromisoformat(set_)
        elif abs(latitude) < 65:  # below the polar circles (66.56, less 0.83 for the horizon and a margin)
            pytest.fail("a day without a rise or a set")


@settings(max_examples=25, deadline=None)
@given(date=DATES, latitude=st.floats(-89, 89), longitude=st.floats(-180, 180))
def test_crossings_agree_with_samples_every_minute(date: dt.date, latitude: float, longitude: float) -> None:
    """The slow, obvious way: compute the height of the sun each minute of a day, and find its sign changes."""
    sky = Sky(latitude, longitude)
    start = dt.datetime.combine(date, dt.time(), dt.UTC).timestamp()
    heights = sky.heights(start + 60 * np.arange(1441, dtype=np.float64))
    seen = [minute for minute in range(1440) if (heights[minute] < 0) != (heights[minute + 1] < 0)]
    minutes = [int((at - start) // 60) for at in sky.crossings(start, start + 86_400).at]
    assert len(minutes) in (len(seen), len(seen) + 2)  # a graze of less than a minute falls between two samples
    assert [minute for minute in minutes if minute in seen] == seen


@settings(max_examples=25, deadline=None)
@given(date=DATES, latitude=st.floats(-90, 90), longitude=st.floats(-180, 180))
def test_heights_are_those_of_ephem(date: dt.date, latitude: float, longitude: float) -> None:
    """The sun moves 15 seconds of arc in a second: 0.02 of these are some milliseconds of a rise."""
    start = dt.datetime.combine(date, dt.time(), dt.UTC)
    hours = [start + dt.timedelta(hours=hour) for hour in range(0, 24, 5)]
    found = Sky(latitude, longitude).heights(np.array([hour.timestamp() for hour in hours]))
    place, sun = ephem.Observer(), ephem.Sun()
    place.lat, place.lon = math.radians(latitude), math.radians(longitude)
    place.elevation = place.pressure = 0
    for height, hour in zip(found.tolist(), hours, strict=True):
        place.date = hour.replace(tzinfo=None)
        sun.compute(place)
        apart = height - (float(sun.alt) - math.radians(HORIZON_DEGREES))
        assert abs(math.degrees(apart) * 3600) < 0.05


def test_the_seasons_are_mirrored() -> None:
    """Under the equator's mirror and half a year on, days are as long to a few minutes (the orbit is not a circle)."""
    north = row(dt.date(2025, 6, 21), 46.05, 14.51, "UTC")["day_minutes"]
    south = row(dt.date(2025, 12, 21), -46.05, 14.51, "UTC")["day_minutes"]
    assert north == pytest.approx(south, abs=1)
    assert north > 15 * 60


# --- Places of days, and words ----------------------------------------------------------------------------------------

HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")
AWAY = Place(key="north", name="Tromsø", latitude=69.65, longitude=18.96, timezone="Europe/Oslo")


def test_each_day_has_the_sun_of_its_place() -> None:
    first, last = dt.date(2025, 6, 20), dt.date(2025, 6, 24)
    pages = pl.DataFrame(
        {"date": [first, first + dt.timedelta(1), first + dt.timedelta(2)], "place": [None, "north", "nowhere"]}
    )
    frame = rise_set.for_journal(pages, Settings(title="Spine and thread", places=(HOME, AWAY)), first, last)
    assert frame.get_column("place").to_list() == ["home", "north", "home", "home", "home"]
    assert frame.get_column("state").to_list() == ["normal", "up all day", "normal", "normal", "normal"]
    alone = rise_set.days(first, last, HOME.latitude, HOME.longitude, HOME.timezone)
    assert (
        frame.drop("place")
        .filter(pl.col("state") == "normal")
        .equals(alone.filter(pl.col("date") != first + dt.timedelta(1)))
    )  # the change of a day's length is also that at its own place


def test_a_journal_without_a_place_has_no_sun() -> None:
    empty = pl.DataFrame(schema={"date": pl.Date, "place": pl.String})
    frame = rise_set.for_journal(empty, Settings(title="", places=()), dt.date(2025, 1, 1), dt.date(2025, 1, 2))
    assert frame.height == 0


@pytest.mark.parametrize(
    ("place", "remedy"),
    [
        ((91.0, 0.0, "UTC"), "latitudes go to 90"),
        ((0.0, -181.0, "UTC"), "longitudes to 180"),
        ((float("nan"), 0.0, "UTC"), "latitudes go to 90"),
        ((46.05, 14.51, "Europe/Lubljana"), "Europe/Ljubljana"),
        ((46.05, 14.51, "Europe"), "Europe/Ljubljana"),
        ((46.05, 14.51, "../UTC"), "Europe/Ljubljana"),
    ],
)
def test_invalid_places(place: tuple[float, float, str], remedy: str) -> None:
    with pytest.raises(UsageError, match=remedy):
        rise_set.days(dt.date(2025, 1, 1), dt.date(2025, 1, 1), *place)


@pytest.mark.parametrize(
    ("changes", "clock", "texts"),
    [
        ({}, 24, ("Sunrise 06:15", "sunset 18:04", "the day is 3 min 20 s longer")),
        ({"change_seconds": -60.0}, 12, ("Sunrise 6:15 am", "sunset 6:04 pm", "the day is 1 min shorter")),
        ({"change_seconds": 0.2}, 24, ("Sunrise 06:15", "sunset 18:04", "the day is as long as the last")),
        ({"change_seconds": None, "rise_minute": None}, 24, ("No sunrise", "sunset 18:04")),
        ({"rise_minute": -0.6, "change_seconds": None}, 12, ("Sunrise 11:59 pm the evening before", "sunset 6:04 pm")),
        ({"set_minute": 719.5, "change_seconds": None}, 12, ("Sunrise 6:15 am", "sunset 12:00 pm")),
        ({"state": "down all day"}, 12, ("The sun stays down all day",)),
    ],
)
def test_words(changes: dict[str, Any], clock: Any, texts: tuple[str, ...]) -> None:
    usual = {"state": "normal", "rise_minute": 374.6, "set_minute": 1084.49, "change_seconds": 200.0}
    assert rise_set.words(usual | changes, clock) == texts
