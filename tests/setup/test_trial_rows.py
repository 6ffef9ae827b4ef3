"""A trial on the settings page: a new one, and the days on which its result was asked for."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from journal.setup import save_settings
from tests import journals
from tests.setup.forms import NOW, TODAY, opened, sent

WALK = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": TODAY.replace(month=1, day=1)}


def saved(folder: Path, form: dict[str, Any]) -> dict[str, Any]:
    result = save_settings.save(opened(folder), form, now=NOW)
    assert result.saved, result.problems
    assert not opened(folder).problems
    return tomllib.loads((folder / "journal.toml").read_text(encoding="utf-8"))


def test_a_trial_is_added_and_changed(tmp_path: Path) -> None:
    journals.write(tmp_path, {}, habits=[WALK])
    form = sent(tmp_path)
    values = {
        "question": "Does a walk lift the day?",
        "habit": "walk",
        "from": "2025-04-01",
        "days": "60",
        "seed": "4711",
    }
    form["lists"]["trials"] = [{"ref": None, "values": values, "schedule": None}]
    (trial,) = saved(tmp_path, form)["trials"]
    assert trial == {
        "key": "does-a-walk-lift-the-day", "question": values["question"], "habit": "walk",
        "from": TODAY.replace(month=4, day=1), "days": 60, "seed": 4711,
    }  # fmt: skip
    shown = sent(tmp_path)
    (row,) = shown["lists"]["trials"]
    assert (row["values"]["outcome"], row["values"]["lag"], row["values"]["looked"]) == ("mood", "0", "")
    row["values"] |= {"looked": "2025-04-20, 2025-05-01", "lag": "1", "stopped": "2025-05-02"}
    (trial,) = saved(tmp_path, shown)["trials"]
    assert [str(day) for day in trial["looked"]] == ["2025-04-20", "2025-05-01"]
    assert (trial["lag"], str(trial["stopped"])) == (1, "2025-05-02")
    unchanged = sent(tmp_path)
    assert unchanged["lists"]["trials"][0]["values"]["looked"] == "2025-04-20, 2025-05-01"
    before = (tmp_path / "journal.toml").read_bytes()
    saved(tmp_path, unchanged)
    assert (tmp_path / "journal.toml").read_bytes() == before
    unchanged["lists"]["trials"][0]["values"]["looked"] = ""
    assert "looked" not in saved(tmp_path, unchanged)["trials"][0]


def test_a_day_that_is_none_is_told_at_its_field(tmp_path: Path) -> None:
    plan = {"key": "t", "question": "?", "habit": "walk", "from": TODAY, "days": 60, "seed": 1}
    journals.write(tmp_path, {}, habits=[WALK], trials=[plan])
    form = sent(tmp_path)
    form["lists"]["trials"][0]["values"]["looked"] = "2025-04-20, soon"
    result = save_settings.save(opened(tmp_path), form, now=NOW)
    assert not result.saved
    assert [problem.field for problem in result.problems] == ["trials.0.looked"]
