"""What each calendar path shows of a week."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from journal.setup import calendar_view

WEEK = dt.date(2025, 3, 10), dt.date(2025, 3, 16)
EVENT = "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:{title}\nSUMMARY:{title}\nDTSTART:{start}\nEND:VEVENT\nEND:VCALENDAR\n"


def test_each_path_by_itself(tmp_path: Path) -> None:
    folder, elsewhere = tmp_path / "journal", tmp_path / "sync"
    folder.mkdir()
    elsewhere.mkdir()
    (folder / "own.ics").write_text(EVENT.format(title="Choir", start="20250314T190000"), encoding="utf-8")
    (elsewhere / "work.ics").write_text(EVENT.format(title="Paper", start="20250313T083000"), encoding="utf-8")
    (elsewhere / "old.ics").write_text(EVENT.format(title="Long ago", start="20200313T083000"), encoding="utf-8")
    paths = [str(elsewhere), "gone.ics", "https://example.org/a.ics"]
    inside, sync, gone, address = calendar_view.of(folder, paths, WEEK, "Europe/Ljubljana", 24)
    assert (inside.path, inside.appointments) == ("", ["Friday 14 March 19:00  Choir"])
    assert (sync.said, sync.appointments) == (
        "2 files, 1 appointment this week",
        ["Thursday 13 March 08:30  Paper"],
    )
    assert gone.said == "No calendar file is read here"
    assert len(gone.problems) == 1
    assert "save the calendar as a file and name that" in address.problems[0]
    assert calendar_view.of(elsewhere.parent / "journal", [], WEEK, "Europe/Ljubljana", 12)[0].appointments == [
        "Friday 14 March 7:00 pm  Choir"
    ]
