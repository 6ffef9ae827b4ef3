"""Weather and appointments of a day, asked on the evening before, are corrected when it is closed."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.evening.evenings import DAY, NEXT, entered, fields, offered, saved, sent_fields, text, written

WEATHER = {"sky": "fog", "high": 11}
TILEN = {"title": "Tilen", "start": "14:00", "end": "15:00"}
CALENDAR = (
    "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nSUMMARY:Merchant\r\nDTSTART:20250313T073000Z\r\nDURATION:PT30M\r\n"
    "END:VEVENT\r\nEND:VCALENDAR\r\n"
)


def test_they_are_offered_apart_from_what_is_asked_of_today(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"weather": WEATHER, "appointments": [TILEN]}})
    (folder / "work.ics").write_text(CALENDAR, encoding="utf-8")
    offer = offered(folder)
    assert sent_fields(offer["planned_fields"]) == {"weather": {"sky": "fog", "high": 11}}
    assert not [field for field in offer["fields"] if field["path"][0] == "weather"]
    assert [(one["title"], one["start"], one["from"], one["source"]) for one in offer["appointments"]] == [
        ("Merchant", "08:30", "calendar", "work.ics"),
        ("Tilen", "14:00", "page", ""),
    ]
    assert offer["tomorrow"]["appointments"] == []


def test_corrections_are_written_to_the_day(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"weather": WEATHER, "appointments": [TILEN, {"title": "Fair"}]}})
    path = folder / "2025" / f"{DAY}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('title = "Tilen"', 'title = "Tilen"  # the book'))
    offer = offered(folder)
    raw = entered(offer, mood=4) | {
        "weather": {"sky": "rain", "high": None},
        "appointments": [
            {"ref": "Tilen 14:00", "title": "Tilen", "start": "14:30", "end": "15:00"},
            {"ref": None, "title": "Post", "start": "16:00", "end": None},
            {"from": "calendar", "title": "Merchant", "start": "08:30", "end": "09:00"},
        ],
    }
    answer = saved(folder, raw)
    assert answer.saved, answer
    page = tomllib.loads(text(folder, DAY))
    assert page["weather"] == {"sky": "rain"}
    assert page["appointments"] == [TILEN | {"start": "14:30"}, {"title": "Post", "start": "16:00"}]
    assert "# the book" in text(folder, DAY)
    assert "weather" not in tomllib.loads(text(folder, NEXT))


def test_what_is_not_sent_stays(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"weather": WEATHER, "appointments": [TILEN]}})
    assert saved(folder, entered(offered(folder), mood=4)).saved
    page = tomllib.loads(text(folder, DAY))
    assert (page["weather"], page["appointments"], page["mood"]) == (WEATHER, [TILEN], 4)


def test_every_fault_is_at_its_field(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"appointments": [TILEN]}})
    raw = entered(offered(folder)) | {
        "weather": {"high": 3, "low": 5},
        "appointments": [
            {"title": ""},
            {"title": "A", "start": "25:00"},
            {"title": "B", "start": "09:00", "end": "08:00"},
        ],
    }
    assert fields(saved(folder, raw)) == {
        "weather.high": "Expected at least the low of 5, got 3; swap the two if they were mixed up.",
        "appointments.1.start": '"25:00" is no time of day; write e.g. "06:15".',
        "appointments.2.end": 'Expected an end after 09:00, got "08:00"; give the later one, at most "24:00".',
    }


def test_a_clash_names_the_row_of_the_form(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"appointments": [{"title": "Fair"}, TILEN]}})
    raw = entered(offered(folder))
    path = folder / "2025" / f"{DAY}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("15:00", "15:30"), encoding="utf-8")
    tilen = {"ref": "Tilen 14:00", "title": "Tilen", "start": "14:00", "end": "16:00"}
    raw["appointments"] = [
        {"ref": "Fair", "title": "Fair"},
        tilen,
    ]
    (clash,) = saved(folder, raw).conflict
    assert (clash.field, clash.yours, clash.theirs) == ("appointments.1.end", "16:00", "15:30")
