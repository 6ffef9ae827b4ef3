"""`duskbook start`: the questions, the proposals, the written files, and that no file is overwritten."""

from __future__ import annotations

import datetime as dt
import stat
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.commands import habit_questions
from journal.commands.start import proposed_home
from journal.folder.new_journal_text import Beginning, key_for, settings_text
from journal.settings import Habit, Place
from tests.cli.conftest import Typed

HOME = Place(key="home", name="Ljubljana", latitude=46.05, longitude=14.51, timezone="Europe/Ljubljana")


def written(folder: Path) -> dict[str, object]:
    return tomllib.loads((folder / "journal.toml").read_text(encoding="utf-8"))


def test_yes_takes_the_town_of_the_time_zone(typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "America/Argentina/Buenos_Aires")
    folder = tmp_path / "deep" / "new"
    result = typed("start", folder, "--yes")
    assert result.exit_code == 0, result.output
    journal = written(folder)
    assert journal["title"] == "My journal"
    # zone.tab of the time zone database: AR -3436-05827, 34 degrees 36 minutes south, 58 degrees 27 minutes west
    assert journal["places"] == [
        {
            "key": "home",
            "name": "Buenos Aires",
            "latitude": -34.6,
            "longitude": -58.45,
            "timezone": "America/Argentina/Buenos_Aires",
        }
    ]
    assert tomllib.loads((folder / "undated.toml").read_text(encoding="utf-8")) == {}
    assert sorted(path.name for path in folder.iterdir()) == ["journal.toml", "undated.toml"]
    assert stat.S_IMODE((folder / "journal.toml").stat().st_mode) & 0o077 == 0, "only its owner may read a journal"


def test_yes_without_a_time_zone_uses_latitude_and_longitude_0(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Etc/UTC")
    result = typed("start", tmp_path / "new", "--yes")
    assert "Home is set to Home (0, 0), Etc/UTC." in result.output
    assert "Put your own place" in result.output


def test_answers_are_used_and_wrong_ones_asked_again(typed: Typed, tmp_path: Path) -> None:
    answers = [
        'A "quoted" year', "Ljubljana", "Europe/Ljubljana", "", "95", "46,06", "east", "14.5",
        "someday", "Sunday", "13", "12", "K", "f",
        "Walk", "", "", "Čaj", "whenever", "every day", "a few", "at most 2 cups", "Swim", "9 a week", "3 a week",
        "", "",
    ]  # fmt: skip
    result = typed("start", tmp_path / "new", answers="\n".join(answers) + "\n")
    assert result.exit_code == 0, result.output
    for remedy in (
        'there is no time zone "Ljubljana"; did you mean "Europe/Ljubljana"?',
        '"95" is not a latitude; write degrees from -90 to 90, e.g. 46.05',
        '"east" is not a longitude; write degrees from -180 to 180, e.g. 14.51',
        'there is no day of the week "someday"; did you mean "sunday"?',
        'there is no clock "13"; write 24 or 12',
        'there is no temperature "K"; write C or F',
        '"whenever" is not a schedule; write "every day", "mo we fr" or "3 a week"',
        '"a few" has no number; write e.g. "20 pages", or nothing for yes or no',
        'a week can have 1 to 7 times; write e.g. "3 a week"',
    ):
        assert remedy in result.output
    journal = written(tmp_path / "new")
    assert journal["title"] == 'A "quoted" year'
    assert (journal["week_starts"], journal["clock"], journal["temperature"]) == ("sunday", 12, "F")
    asked = journal["habits"]
    assert isinstance(asked, list)
    assert all(isinstance(habit.pop("from"), dt.date) for habit in asked)
    assert asked == [
        {"key": "walk", "name": "Walk", "every": "FREQ=DAILY"},
        {"key": "caj", "name": "Čaj", "every": "FREQ=DAILY", "target": 2, "unit": "cups", "aim": "at most"},
        {"key": "swim", "name": "Swim", "times": 3, "per": "week"},
    ]


def test_a_new_journal_passes_check(typed: Typed, tmp_path: Path) -> None:
    answers = "\n".join(["Mine", *[""] * 7, "Walk", "", "", "Read", "weekdays", "20 pages", ""]) + "\n"
    assert typed("start", tmp_path / "asked", answers=answers).exit_code == 0
    assert typed("start", tmp_path / "taken", "--yes").exit_code == 0
    for name in ("asked", "taken"):
        result = typed("check", tmp_path / name)
        assert (result.exit_code, result.output) == (0, "No problems in 0 pages.\n")


def test_a_journal_is_never_overwritten(typed: Typed, tmp_path: Path) -> None:
    folder = tmp_path / "old"
    folder.mkdir()
    (folder / "journal.toml").write_text("mine", encoding="utf-8")
    result = typed("start", folder, "--yes")
    assert result.exit_code == 2
    assert result.stderr == (
        f'duskbook: "{folder}" is a journal already and stays as it is; open it with "duskbook evening {folder}", '
        "or name another folder\n"
    )
    assert [path.name for path in folder.iterdir()] == ["journal.toml"]
    assert (folder / "journal.toml").read_text(encoding="utf-8") == "mine"


def test_a_dangling_link_is_not_followed(typed: Typed, tmp_path: Path) -> None:
    folder = tmp_path / "linked"
    folder.mkdir()
    (folder / "journal.toml").symlink_to(tmp_path / "elsewhere")
    assert typed("start", folder, "--yes").exit_code == 2
    assert not (tmp_path / "elsewhere").exists()


def test_existing_undated_tasks_stay(typed: Typed, tmp_path: Path) -> None:
    tasks = '[[tasks]]\ntitle = "Keep me"\n'
    (tmp_path / "undated.toml").write_text(tasks, encoding="utf-8")
    result = typed("start", tmp_path, "--yes")
    assert result.exit_code == 0
    assert (tmp_path / "undated.toml").read_text(encoding="utf-8") == tasks
    assert "undated.toml" not in result.output


def test_a_folder_that_cannot_be_written_is_reported_in_one_line(typed: Typed, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    for name, said in (("file", "is a file; name a folder to make"), ("file/below", "(Not a directory)")):
        result = typed("start", tmp_path / name, "--yes")
        assert result.exit_code == 2
        assert said in result.stderr
        assert result.stderr.count("\n") == 1


def test_answers_that_end_early_write_nothing(typed: Typed, tmp_path: Path) -> None:
    result = typed("start", tmp_path / "new", answers="Mine\n")
    assert result.exit_code == 2
    assert result.stderr.endswith("the input ended before the last question; write --yes to take every proposal\n")
    assert not (tmp_path / "new").exists()


@settings(max_examples=100, deadline=None)
@given(st.text(), st.text(), st.floats(-90, 90), st.floats(-180, 180), st.text(min_size=1))
def test_any_answer_makes_valid_toml(title: str, town: str, latitude: float, longitude: float, habit: str) -> None:
    place = Place(key="home", name=town, latitude=latitude, longitude=longitude, timezone="Europe/Ljubljana")
    walk = Habit(key=key_for(habit, {"walk"}), name=habit, start=dt.date(2025, 1, 1), every="FREQ=DAILY", target=0.5)
    read = tomllib.loads(settings_text(Beginning(title=title, home=place, habits=(walk,), week_starts="monday")))
    assert read["title"] == title
    assert read["places"][0]["name"] == town
    assert read["places"][0]["latitude"] == latitude
    assert read["habits"][0]["name"] == habit
    assert read["habits"][0]["key"].isascii()


def test_a_new_key_is_unused() -> None:
    assert key_for("Walk", {"walk", "walk-2"}) == "walk-3"


@pytest.mark.parametrize("answer", ["", "FREQ=HOURLY", "0 a week", "29 a month", "mo we blue"])
def test_an_answer_that_is_not_a_schedule_gets_a_remedy(answer: str) -> None:
    with pytest.raises(ValueError, match="write"):
        habit_questions.when(answer)


def test_every_zone_with_a_town_has_a_place_on_earth() -> None:
    for zone in ("Antarctica/Troll", "Asia/Kolkata", "America/New_York", "Pacific/Auckland"):
        place = proposed_home(zone)
        assert -90 <= place.latitude <= 90
        assert -180 <= place.longitude <= 180
        assert (place.latitude, place.longitude) != (0, 0)
    # zone.tab: AQ -720041+0023206, with seconds
    assert proposed_home("Antarctica/Troll").latitude == pytest.approx(-72.0114, abs=0.005)
    assert proposed_home("Antarctica/Troll").longitude == pytest.approx(2.535, abs=0.0051)
