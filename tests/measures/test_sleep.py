"""Nights, regularity and social jetlag against the references, from journal folders, and against a slow oracle."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.entry import clock_text, minute_of_day
from journal.measures import clock_changes, sleep_summary
from journal.measures.sleep import NIGHTS, RECOMMENDED_MINUTES, nights, sleeps
from journal.measures.sleep_summary import summary
from journal.tables import RECORDED
from tests.journals import PLACE, write
from tests.measures import night_oracle
from tests.measures.night_oracle import Strips
from tests.references import load, named

HOME = {"home": "Europe/Ljubljana"}
LATER = dt.date(2199, 1, 1)
MONDAY = dt.date(2025, 3, 10)
CATEGORIES = [
    {"key": "sleep", "name": "Sleep", "sleep": True},
    {"key": "work", "name": "Work", "work": True},
    {"key": "awake", "name": "Awake"},
]


def strip_frame(strips: Strips, layer: str = "actual") -> pl.DataFrame:
    """`Tables.hours` of some strips."""
    rows = [
        (date, layer, category, start, end)
        for date, strip in strips.items()
        for category, spans in strip.items()
        for start, end in spans
    ]
    schema = {name: dtype for name, dtype in RECORDED["hours"].items() if name != "path"}
    return pl.DataFrame(rows, schema=schema, orient="row")


def at_home(strips: Strips) -> pl.DataFrame:
    return pl.DataFrame({"date": list(strips), "place": None}, schema={"date": pl.Date, "place": pl.String})


def nights_of(strips: Strips, today: dt.date = LATER) -> list[dict[str, Any]]:
    found = nights(strip_frame(strips), at_home(strips), sleep="sleep", zones=HOME, today=today, work=["work"])
    assert found.schema == NIGHTS
    return found.to_dicts()


def written(folder: Path, strips: Strips, timezone: str = "Europe/Ljubljana") -> pl.DataFrame:
    """The one-row summary of a journal with these strips, opened from its files."""
    pages = {
        date: {"hours": {"actual": {c: [f"{clock_text(a)}-{clock_text(b)}" for a, b in s] for c, s in strip.items()}}}
        for date, strip in strips.items()
    }
    write(folder, pages, places=[PLACE | {"timezone": timezone}], categories=CATEGORIES)
    opened = journal.open(folder, today=max(strips) + dt.timedelta(days=1), cache=False)
    assert opened.problems == ()
    zones = {place.key: place.timezone for place in opened.settings.places}
    hours, days = opened.tables.hours, opened.tables.days
    every = nights(hours, days, sleep="sleep", zones=zones, today=opened.today, work=["work"])
    return summary(
        every, sleep_summary.regularity_pairs(hours, sleep="sleep", today=opened.today), week_starts="monday"
    ).with_columns(every=every.select(pl.struct(pl.all()).implode()).to_series())


def slept(bed: dt.datetime, wake: dt.datetime) -> Strips:
    """The strips of the days with a part of the sleep."""
    # With a bedtime at midnight, the day before must be known as awake. Otherwise the sleep is a part of a night.
    eve = bed.date() - dt.timedelta(days=1)
    strips: Strips = {eve: {"awake": [(0, 1440)]}} if bed.time() == dt.time() else {}
    date = bed.date()
    while date <= wake.date():
        midnight = dt.datetime.combine(date, dt.time())
        start, end = ((moment - midnight) // dt.timedelta(minutes=1) for moment in (bed, wake))
        span = (max(start, 0), min(end, 1440))
        strips[date] = {"sleep": [span]} if span[0] < span[1] else {"awake": [(0, 1)]}
        date += dt.timedelta(days=1)
    return strips


def night(date: dt.date, bed: str, wake: str) -> Strips:
    """The strips of a night that ends on `date`, from local times. A bedtime from noon on is on the day before."""
    midnight = dt.datetime.combine(date, dt.time())
    went, rose = (midnight + dt.timedelta(minutes=minute_of_day(time)) for time in (bed, wake))
    while went >= rose:
        went -= dt.timedelta(days=1)
    return slept(went, rose)


# --- Against the references


@pytest.mark.parametrize("check", load("sleep-duration"), ids=lambda check: check["name"])
def test_a_night_counts_elapsed_time(tmp_path: Path, check: dict[str, Any]) -> None:
    bed, wake = (dt.datetime.fromisoformat(check["inputs"][end]) for end in ("onset", "end"))
    ((found,),) = written(tmp_path, slept(bed, wake), check["inputs"]["tz"]).get_column("every").to_list()
    expected = check["expected"]
    assert found["date"] == wake.date()
    assert (found["bed"], found["wake"]) == (f"{bed:%H:%M}", f"{wake:%H:%M}")
    assert found["minutes"] == expected["elapsed_minutes"]
    assert found["wake_minute"] - found["bed_minute"] == expected["clock_difference_minutes"]
    assert clock_text(int(found["mid_minute"])) == expected["mid_sleep_local"]  # the reference truncates seconds


@pytest.mark.parametrize(
    "check", [c for c in load("circular-mean") if "times" in c["inputs"]], ids=lambda check: check["name"]
)
def test_mean_bedtimes_are_circular(tmp_path: Path, check: dict[str, Any]) -> None:
    strips: Strips = {}
    for i, bed in enumerate(check["inputs"]["times"]):
        hour = (minute_of_day(bed) // 60 + 7) % 24
        strips |= night(MONDAY + dt.timedelta(days=4 * i), bed, f"{hour:02d}:00")
    row = written(tmp_path, strips).row(0, named=True)
    assert row["nights"] == len(check["inputs"]["times"])
    mean = check["expected"]["mean"]
    if mean is None:
        assert row["bed_mean"] is row["bed_mean_minute"] is None
        return
    hours, minutes, seconds = map(int, mean.split(":"))
    off = row["bed_mean_minute"] - (60 * hours + minutes + seconds / 60)
    assert 60 * min(abs(off), 1440 - abs(off)) <= check["tolerance"]["mean_seconds"]
    assert row["bed_mean"] == mean[:5]
    assert row["bed_sd_minutes"] == pytest.approx(check["expected"]["circular_sd_minutes"], abs=1e-5)


@pytest.mark.parametrize("check", load("sleep-regularity"), ids=lambda check: check["name"])
def test_the_regularity_index(tmp_path: Path, check: dict[str, Any]) -> None:
    length = check["inputs"]["epoch_minutes"]
    strips: Strips = {}
    for i, states in enumerate(check["inputs"]["days"]):
        strip: dict[str, list[tuple[int, int]]] = {}
        for j, state in enumerate(states):
            if state != "-":
                strip.setdefault({"S": "sleep", "W": "awake"}[state], []).append((j * length, (j + 1) * length))
        if strip:
            strips[MONDAY + dt.timedelta(days=i)] = strip
    row = written(tmp_path, strips).row(0, named=True) if len(strips) > 1 else None
    expected = check["expected"]
    if expected["sri"] is None:
        pairs = sleep_summary.regularity_pairs(strip_frame(strips), sleep="sleep", today=LATER)
        assert pairs.height == expected["pairs"] == 0
        assert pairs.select(sleep_summary.regularity_index(pl.col("same_minutes"))).item() is None
        return
    assert row is not None
    assert row["regularity"] == pytest.approx(expected["sri"], abs=check["tolerance"])
    assert row["regularity_pairs"] * len(check["inputs"]["days"][0]) == expected["pairs"]


@pytest.mark.parametrize(
    "check", [c for c in load("social-jetlag") if "sjl_hours" in c["expected"]], ids=lambda check: check["name"]
)
def test_social_jetlag(tmp_path: Path, check: dict[str, Any]) -> None:
    strips: Strips = {}
    for i, kind in enumerate(["work", "free", "work", "free"]):
        times = check["inputs"][kind]
        date = MONDAY + dt.timedelta(days=4 * i)
        strips |= night(date, times["onset"], times["end"])
        if kind == "work":
            strips[date]["work"] = [(600, 720)]
    row = written(tmp_path, strips).row(0, named=True)
    expected = check["expected"]
    assert (row["work_nights"], row["free_nights"]) == (2, 2)
    assert row["mid_work_minute"] == pytest.approx(minute_of_day(expected["msw"]), abs=1e-6)
    assert row["mid_free_minute"] == pytest.approx(minute_of_day(expected["msf"]), abs=1e-6)
    assert row["social_jetlag_minutes"] == pytest.approx(60 * expected["sjl_hours"], abs=60 * check["tolerance"])
    lasting = [found["minutes"] for found in row["every"]]
    assert lasting == [expected["work_minutes"], expected["free_minutes"]] * 2


def test_the_recommendation_matches_the_source() -> None:
    assert named("sleep-guideline", "adults: 7 hours")["expected"]["min_hours"] * 60 == RECOMMENDED_MINUTES


# --- Small cases


def test_a_night_across_the_change_to_summer_time_is_an_hour_short() -> None:
    (found,) = nights_of(night(dt.date(2025, 3, 30), "23:00", "07:00"))
    assert (found["date"], found["minutes"]) == (dt.date(2025, 3, 30), 420)
    (found,) = nights_of(night(dt.date(2025, 10, 26), "23:00", "07:00"))
    assert found["minutes"] == 540


def test_a_night_uses_the_zone_of_the_place_of_waking() -> None:
    strips = night(dt.date(2025, 3, 9), "23:00", "07:00")  # clocks change in New York, not in Ljubljana
    days = at_home(strips).with_columns(place=pl.lit("away"))
    zones = HOME | {"away": "America/New_York"}
    found = nights(strip_frame(strips), days, sleep="sleep", zones=zones, today=LATER)
    assert found.get_column("minutes").to_list() == [420]
    unknown = days.with_columns(place=pl.lit("nowhere"))
    assert nights(strip_frame(strips), unknown, sleep="sleep", zones=zones, today=LATER)["minutes"].to_list() == [480]


def test_a_night_of_a_journey_counts_from_the_clock_of_its_evening() -> None:
    zones = {
        "lisbon": "Europe/Lisbon",
        "york": "America/New_York",
        "tokyo": "Asia/Tokyo",
        "angeles": "America/Los_Angeles",
    }

    def minutes(evening: str, morning: str, bed: str = "22:00", wake: str = "08:00") -> list[int]:
        strips = night(dt.date(2025, 7, 2), bed, wake)
        days = at_home(strips).with_columns(place=pl.Series([evening, morning]))
        found = nights(strip_frame(strips), days, sleep="sleep", zones=zones, today=LATER)
        nowhere = {"home": clock_changes.stand_in(days, zones, nights=days["date"].to_list())}
        assert not any(name.split("/")[1] in nowhere["home"] for name in zones.values())
        unplaced = days.with_columns(place=pl.lit(None, pl.String))
        assert nights(strip_frame(strips), unplaced, sleep="sleep", zones=nowhere, today=LATER).equals(found)
        return found.get_column("minutes").to_list()

    assert minutes("york", "lisbon") == [300]
    assert minutes("lisbon", "york") == [900]
    assert minutes("lisbon", "lisbon") == [600]
    assert minutes("york", "lisbon", "22:00", "04:00") == [60]
    # 23:00 in Los Angeles is 15:00 of the next day in Tokyo: a sleep until 7:00 that day cannot be.
    assert minutes("angeles", "tokyo", "23:00", "07:00") == []


def test_naps_are_separate_and_wakings_do_not_count_as_sleep() -> None:
    strips: Strips = {
        MONDAY: {"sleep": [(1380, 1440)]},
        MONDAY + dt.timedelta(days=1): {"sleep": [(0, 120), (180, 420), (800, 850), (1000, 1010)]},
    }
    (found,) = nights_of(strips)
    assert (found["bed"], found["wake"], found["minutes"], found["wakings"]) == ("23:00", "07:00", 420, 1)
    assert found["nap_minutes"] == 60


def test_a_nap_alone_is_not_a_night() -> None:
    """A day with only a nap had a night too; it is unknown."""
    assert nights_of({MONDAY: {"sleep": [(840, 900)]}}) == []
    assert nights_of({MONDAY: {"sleep": [(540, 719)]}}) == []
    for day_sleeper in ([(540, 720)], [(539, 600)], [(1200, 1261)]):
        assert len(nights_of({MONDAY: {"sleep": day_sleeper}})) == 1


def test_a_short_night_before_a_longer_nap_is_still_the_night() -> None:
    (found,) = nights_of({MONDAY: {"sleep": [(30, 150), (780, 930)]}})
    assert (found["wake"], found["minutes"], found["nap_minutes"]) == ("02:30", 120, 150)


def test_a_part_of_a_night_is_not_a_night() -> None:
    evening: Strips = {MONDAY: {"sleep": [(1350, 1440)]}}
    morning: Strips = {MONDAY: {"sleep": [(0, 375)]}}
    assert nights_of(evening) == nights_of(morning) == []
    assert nights_of(evening | {MONDAY + dt.timedelta(days=2): {"sleep": [(0, 375)]}}) == []
    # A page without sleep is as unknown as no page.
    assert nights_of(evening | {MONDAY + dt.timedelta(days=1): {"work": [(540, 600)]}}) == []
    kinds = sleeps(strip_frame(evening), at_home(evening), sleep="sleep", zones=HOME).get_column("kind").to_list()
    assert kinds == ["part"]


def test_a_night_without_sleep_needs_a_full_strip() -> None:
    before = night(MONDAY, "22:00", "06:00")
    awake: Strips = {MONDAY + dt.timedelta(days=1): {"awake": [(0, 1440)]}}
    found = nights_of(before | awake)
    assert [(row["minutes"], row["bed"], row["mid_minute"]) for row in found] == [
        (480, "22:00", 120.0),
        (0, None, None),
    ]
    assert len(nights_of(awake)) == 0
    early: Strips = {MONDAY + dt.timedelta(days=1): {"awake": [(0, 1200)], "sleep": [(1200, 1440)]}}
    assert [row["minutes"] for row in nights_of(before | early)] == [480, 0]
    half: Strips = {MONDAY + dt.timedelta(days=1): {"awake": [(540, 1000)]}}
    assert len(nights_of(before | half)) == 1


def test_the_summary_handles_nights_of_zero_and_of_twenty_hours() -> None:
    strips = night(MONDAY, "22:00", "06:00") | {MONDAY + dt.timedelta(days=1): {"awake": [(0, 1440)]}}
    long = night(MONDAY + dt.timedelta(days=3), "19:00", "15:00")
    every = nights_of(strips | long)
    assert [row["minutes"] for row in every] == [480, 0, 1200]
    pairs = sleep_summary.regularity_pairs(strip_frame(strips | long), sleep="sleep", today=LATER)
    row = summary(pl.DataFrame(every, schema=NIGHTS), pairs, week_starts="monday").row(0, named=True)
    assert (row["nights"], row["mean_minutes"], row["under_recommended"]) == (3, 560, 1)
    assert row["bed_mean"] == "20:30"
    assert -100 <= row["regularity"] <= 100


def test_sleep_through_whole_days_ends_once() -> None:
    strips: Strips = {MONDAY + dt.timedelta(days=i): {"sleep": [(0, 1440)]} for i in range(3)}
    assert nights_of(strips) == []  # both ends are unknown
    strips[MONDAY] = {"sleep": [(600, 1440)]}
    strips[MONDAY + dt.timedelta(days=3)] = {"sleep": [(0, 60)]}
    (found,) = nights_of(strips)
    assert (found["date"], found["bed"]) == (MONDAY + dt.timedelta(days=3), "10:00")
    assert found["minutes"] == 14 * 60 + 2 * 1440 + 60


def test_planned_sleep_is_not_sleep() -> None:
    strips = night(MONDAY, "22:00", "06:00")
    planned = strip_frame(strips, "planned")
    assert nights(planned, at_home(strips), sleep="sleep", zones=HOME, today=LATER).height == 0
    assert sleep_summary.regularity_pairs(planned, sleep="sleep", today=LATER).height == 0


def test_overlapping_spans_count_once() -> None:
    strips = night(MONDAY, "22:00", "06:00")
    strips[MONDAY]["sleep"] += [(300, 390), (0, 60)]
    strips[MONDAY]["awake"] = [(330, 400)]  # only the category "sleep" decides
    (found,) = nights_of(strips)
    assert (found["wake"], found["minutes"]) == ("06:30", 510)


def test_today_is_neither_a_free_day_nor_over() -> None:
    strips = night(MONDAY, "22:00", "06:00")
    assert [row["work"] for row in nights_of(strips, today=MONDAY)] == [None]
    assert [row["work"] for row in nights_of(strips)] == [False]
    strips[MONDAY]["work"] = [(540, 600)]
    assert [row["work"] for row in nights_of(strips, today=MONDAY)] == [True]
    assert sleep_summary.regularity_pairs(strip_frame(strips), sleep="sleep", today=MONDAY).height == 0
    assert sleep_summary.regularity_pairs(strip_frame(strips), sleep="sleep", today=LATER).height == 1


def test_no_hours_give_no_nights() -> None:
    none = strip_frame({})
    every = nights(none, at_home({}), sleep="sleep", zones=HOME, today=MONDAY)
    pairs = sleep_summary.regularity_pairs(none, sleep="sleep", today=MONDAY)
    assert every.schema == NIGHTS
    assert every.height == pairs.height == 0
    for by in ("all", "week", "month", "year"):
        assert summary(every, pairs, by=by, week_starts="monday").height == 0


def test_a_night_belongs_to_the_month_in_which_it_ended() -> None:
    strips = night(dt.date(2025, 4, 1), "22:00", "06:00") | night(dt.date(2025, 4, 3), "23:00", "06:00")
    every = pl.DataFrame(nights_of(strips), schema=NIGHTS)
    pairs = sleep_summary.regularity_pairs(strip_frame(strips), sleep="sleep", today=LATER)
    table = summary(every, pairs, by="month", week_starts="monday")
    assert table.select("period", "nights", "regularity_pairs").rows() == [("2025-04", 2, 3)]


# --- Against the oracle

spans = st.tuples(st.integers(0, 47), st.integers(1, 24)).map(lambda s: (30 * s[0], min(30 * (s[0] + s[1]), 1440)))
strip = st.fixed_dictionaries(
    {}, optional={"sleep": st.lists(spans, min_size=1, max_size=3), "awake": st.just([(0, 1440)])}
)
# Days on both sides of the clock changes of 2025, in Ljubljana and (by half an hour) on Lord Howe Island.
some_strips = st.builds(
    lambda first, days: {first + dt.timedelta(days=i): day for i, day in enumerate(days) if day},
    st.sampled_from([dt.date(2025, 3, 28), dt.date(2025, 10, 24), dt.date(2025, 4, 4)]),
    st.lists(st.none() | strip, min_size=1, max_size=5),
).filter(bool)


@settings(max_examples=60, deadline=None)
@given(some_strips, st.sampled_from(["Europe/Ljubljana", "Australia/Lord_Howe"]))
def test_sleeps_match_a_plain_loop(strips: Strips, zone: str) -> None:
    slow = night_oracle.sleeps(strips, ZoneInfo(zone))
    midnight = {sleep.date: dt.datetime.combine(sleep.date, dt.time()) for sleep in slow}
    found = sleeps(strip_frame(strips), at_home(strips), sleep="sleep", zones={"home": zone})
    assert found.select("date", "kind", "bed_minute", "wake_minute", "minutes", "wakings").rows() == [
        (
            sleep.date,
            sleep.kind,
            (sleep.bed - midnight[sleep.date]) // dt.timedelta(minutes=1),
            (sleep.wake - midnight[sleep.date]) // dt.timedelta(minutes=1),
            sleep.minutes,
            sleep.broken,
        )
        for sleep in slow
    ]


@settings(max_examples=60, deadline=None)
@given(some_strips)
def test_regularity_matches_a_plain_loop(strips: Strips) -> None:
    same, every = night_oracle.regularity(strips)
    found = sleep_summary.regularity_pairs(strip_frame(strips), sleep="sleep", today=LATER)
    assert found.get_column("same_minutes").sum() == same
    assert found.height * 1440 == every
    index = found.select(sleep_summary.regularity_index(pl.col("same_minutes"))).item()
    assert index == (pytest.approx(-100 + 200 * same / every) if every else None)
