"""The next day in the form: its strip, appointments, routines, open tasks, and free time."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from journal.entry import MINUTES_A_DAY, Span
from journal.evening import carryover, tomorrow
from journal.evening.fit_offer import fit
from journal.evening.tomorrow import Room, Timed, room
from journal.settings import Place, Settings
from tests.evening.evenings import DAY, NEXT, offered, opened, written

FRIDAY, FRIDAY_AFTER = dt.date(2025, 3, 14), dt.date(2025, 3, 21)


def test_every_other_week_is_not_offered_in_the_week_between(tmp_path: Path) -> None:
    """Common practice, no source."""
    folder = written(tmp_path)
    due = [one["title"] for one in offered(folder, FRIDAY - dt.timedelta(1))["tomorrow"]["routines"]]
    between = [one["title"] for one in offered(folder, FRIDAY_AFTER - dt.timedelta(1))["tomorrow"]["routines"]]
    assert (due, between) == (["Sweep", "Stock count"], ["Sweep"])
    assert offered(folder)["tomorrow"]["routines"][1] == {
        "title": "Stock count",
        "estimate": None,
        "said": "every other Friday",
    }


def test_a_routine_that_is_on_the_page_is_not_offered_again(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"tasks": [{"title": "Sweep"}]}})
    assert [one["title"] for one in offered(folder)["tomorrow"]["routines"]] == ["Stock count"]


def test_bed_at_half_past_ten_and_up_at_half_past_five_is_seven_hours(tmp_path: Path) -> None:
    """Common practice, no source. A night is written on two pages, up to midnight and from it."""
    folder = written(tmp_path, {DAY: {"hours": {"actual": {"sleep": ["22:30-24:00"]}}},
                                NEXT: {"hours": {"actual": {"sleep": ["00:00-05:30"]}}}})  # fmt: skip
    spans = [Span.parse(text) for day in (DAY, NEXT) for text in offered(folder, day)["actual"]["sleep"]]
    assert sum(span.end_minute - span.start_minute for span in spans) == 7 * 60


def test_the_strip_comes_from_the_page_the_weekday_or_the_usual_hours(tmp_path: Path) -> None:
    folder = written(tmp_path, {NEXT: {"hours": {"planned": {"music": ["19:00-20:00"]}}}})
    days = [offered(folder, DAY + dt.timedelta(days))["tomorrow"] for days in (0, 1, 2)]
    assert [(day["planned_from"], day["planned"]) for day in days] == [
        ("page", {"music": ["19:00-20:00"]}),
        ("weekday", {"sleep": ["00:00-07:30"]}),
        ("usual", {"sleep": ["00:00-06:15", "22:30-24:00"], "workshop": ["09:00-12:30"]}),
    ]


CALENDAR = (
    "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nSUMMARY:Merchant\r\nDTSTART:20250314T073000Z\r\nDURATION:PT30M\r\n"
    "END:VEVENT\r\nBEGIN:VEVENT\r\nUID:2\r\nSUMMARY:Fair\r\nDTSTART;VALUE=DATE:20250314\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


def test_appointments_come_from_the_calendar_and_from_the_page(tmp_path: Path) -> None:
    page = {"appointments": [{"title": "Boards", "start": "08:45", "end": "09:15"}, {"title": "Fair"}]}
    folder = written(tmp_path, {NEXT: page})
    (folder / "work.ics").write_text(CALENDAR, encoding="utf-8")
    appointments = offered(folder)["tomorrow"]["appointments"]
    assert [
        (appointment["title"], appointment["start"], appointment["end"], appointment["from"], appointment["ref"])
        for appointment in appointments
    ] == [
        ("Fair", None, None, "page", "Fair"),
        ("Merchant", "08:30", "09:00", "calendar", None),
        ("Boards", "08:45", "09:15", "page", "Boards 08:45"),
    ]
    typed = {"planned": {}, "appointments": [*appointments, {"title": "Late", "start": "20:00", "end": "21:00"}]}
    assert fit(opened(folder), DAY, typed).open == 24 * 60 - 45 - 60, "each once, and what the calendar has too"
    assert offered(folder)["fit"]["overlaps"] == ["Merchant and Boards are both set from 08:45 to 09:00"]


def test_a_broken_calendar_leaves_the_page_open(tmp_path: Path) -> None:
    folder = written(tmp_path)
    (folder / "work.ics").write_bytes(b"BEGIN:VCALENDAR\nBEGIN:VEVENT\nDTSTART:soon\nEND:VEVENT\n\xff\xfe")
    page = offered(folder)
    assert page["tomorrow"]["appointments"] == []
    assert any(problem.startswith("work.ics") for problem in page["problems"])


def test_a_calendar_of_fifty_megabytes_is_reported_and_not_read(tmp_path: Path) -> None:
    folder = written(tmp_path)
    with (folder / "work.ics").open("wb") as file:
        file.truncate(50_000_000)
    assert offered(folder)["problems"] == [
        "work.ics: expected a calendar of at most 10 MB, got 50 MB; export the last year or two only, or move it away"
    ]


def test_an_appointment_in_planned_sleep_is_reported() -> None:
    sentences = tomorrow.overlaps(
        [Timed("Train", 330, 400)], {"sleep": [Span(0, 375)]}, Settings(title="Small", places=())
    )
    assert sentences == ["Train is set from 05:30 to 06:15, in planned sleep"]


SPANS = st.tuples(st.integers(0, 1439), st.integers(1, 600)).map(
    lambda pair: Span(pair[0], min(pair[0] + pair[1], MINUTES_A_DAY))
)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(st.sampled_from(["sleep", "workshop", "music"]), st.lists(SPANS, max_size=3)),
    st.lists(SPANS, max_size=3),
)
def test_room_agrees_with_a_count_minute_by_minute(planned: dict[str, list[Span]], set_times: list[Span]) -> None:
    timed = [Timed("A", *span) for span in set_times]
    free = work = 0
    for minute in range(MINUTES_A_DAY):
        if any(one.start_minute <= minute < one.end_minute for one in timed):
            continue
        here = [key for key, spans in planned.items() if any(a <= minute < b for a, b in spans)]
        free += not here
        work += bool(here) and here[-1] == "workshop"
    assert room(planned, timed, {"workshop"}) == Room(free, work)


def test_done_tasks_and_tasks_on_other_pages_are_not_offered(tmp_path: Path) -> None:
    """Common practice, no source: a task that is done today is not carried."""
    tuesday = dt.date(2025, 3, 11)
    tasks = [
        {"title": "Open"}, {"title": "Done", "status": "done"}, {"title": "Dropped", "status": "dropped"},
        {"title": "Later", "status": "carried", "id": "k2"}, {"title": "Shelved", "status": "carried", "id": "s2"},
        {"title": "Done since", "status": "carried", "id": "d2"}, {"title": "Lost", "status": "carried"},
    ]  # fmt: skip
    pages = {
        tuesday: {"tasks": tasks},
        DAY: {"tasks": [{"title": "Done since", "status": "done", "id": "d2"}]},
        dt.date(2025, 4, 2): {"tasks": [{"title": "Later", "id": "k2"}]},
    }
    folder = written(tmp_path, pages, '[[tasks]]\ntitle = "Shelved, reworded"\nid = "s2"\n')
    tasks = offered(folder)["tasks"]
    assert {task["title"]: task["said"] for task in tasks if task["status"] != "done"} == {
        "Open": "since Tuesday",
        "Lost": "since Tuesday, carried once",
    }


def test_only_the_newest_of_very_many_open_tasks_are_offered(tmp_path: Path) -> None:
    pages = {dt.date(2025, 1, 1) + dt.timedelta(i): {"tasks": [{"title": f"Left {i}"}]} for i in range(60)}
    tasks = offered(written(tmp_path, pages))["tasks"]
    assert len(tasks) == 50 and tasks[0]["title"] == "Left 59"


def test_an_id_is_never_assigned_twice() -> None:
    taken: dict[str, tuple[str, dt.date]] = {}
    for i in range(3000):
        own = carryover.new_id(f"Task {i}", DAY, taken.get)
        assert own not in taken and len(own) == 4
        taken[own] = (f"Task {i}", DAY)


def test_fit_uses_the_typed_values(tmp_path: Path) -> None:
    book = opened(
        written(tmp_path, {dt.date(2025, 3, 1): {"tasks": [{"title": "Fold", "status": "done", "took": 40}]}})
    )
    asked = {
        "tasks": [
            {"title": "Sew", "estimate": 60},
            {"title": "Fold", "estimate": None},
            {"title": "New", "estimate": "x"},
        ],
        "planned": {"sleep": ["00:00-06:00", "7ish"], "workshop": ["09:00-12:00"]},
        "appointments": [
            {"title": "A", "start": "10:00", "end": "11:00"},
            {"title": "B", "start": "09:00", "end": None},
        ],
    }
    answer = fit(book, DAY, asked)
    assert (answer.planned, answer.open, answer.work, answer.room) == (100, 900, 120, 1020)
    assert answer.sentence == (
        "1 h 40 min of tasks in 15 h of open time and 2 h of planned work; "
        "one without an estimate counts as the median of its like; 1 more task has no estimate."
    )
    assert answer.detail == "No task was timed so far: from 20 on, this says what to expect."
    assert fit(book, DAY, {"estimates": [30, None]}).planned == 30
    assert fit(book, DAY, {"tasks": "no", "planned": 3, "appointments": None}).planned == 0


def test_tasks_without_an_estimate_are_counted_and_not_left_out(tmp_path: Path) -> None:
    """A new journal has no like to take an estimate from."""
    book = opened(written(tmp_path, {DAY: {"mood": 3}}))

    def said(*estimates: int | None) -> str:
        tasks = [{"title": f"Task {place}", "estimate": estimate} for place, estimate in enumerate(estimates)]
        return fit(book, DAY, {"tasks": tasks, "planned": {}, "appointments": []}).sentence

    assert said() == "No open task; 24 h of open time."
    assert said(None) == "1 open task without an estimate; 24 h of open time."
    assert said(None, None) == "2 open tasks without an estimate; 24 h of open time."
    assert said(30, 30, None, 30) == "1 h 30 min of tasks in 24 h of open time; 1 more task has no estimate."
    assert said(30, None, None) == "30 min of tasks in 24 h of open time; 2 more tasks have no estimate."


def test_the_sun_of_the_next_day_in_words(tmp_path: Path) -> None:
    assert offered(written(tmp_path))["tomorrow"]["sun"] == (
        "Sunrise 06:16 · sunset 18:07 · the day is 3 min 17 s longer"
    )


def test_daylight_is_within_its_day(tmp_path: Path) -> None:
    """Only the values that the strip draws. tests/sun has references for the times."""
    days = opened(written(tmp_path)).tables.days
    tromso = Place(key="home", name="Tromsø", latitude=69.65, longitude=18.96, timezone="Europe/Oslo")
    reykjavik = Place(key="home", name="Reykjavik", latitude=64.15, longitude=-21.94, timezone="Atlantic/Reykjavik")
    north = Settings(title="North", places=(tromso,))
    assert tomorrow.daylight(days, north, dt.date(2024, 6, 21)) == [0, MINUTES_A_DAY]
    assert tomorrow.daylight(days, north, dt.date(2024, 12, 21)) is None
    # The sun sets there after midnight, at 00:03 of the next day.
    assert tomorrow.daylight(days, Settings(title="Bay", places=(reykjavik,)), dt.date(2024, 6, 20)) == [
        175,
        MINUTES_A_DAY,
    ]
    assert tomorrow.daylight(days, Settings(title="Nowhere", places=()), dt.date(2024, 6, 21)) is None
