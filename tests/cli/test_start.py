"""`duskbook start`: the questions, the proposals, the written files, and that no file is overwritten."""

from __future__ import annotations

import datetime as dt
import stat
import tomllib
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tzlocal import unix

from journal.commands import habit_questions, page, start, system_zone
from journal.folder.new_journal_text import Beginning, key_for, settings_text
from journal.settings import Habit, Place
from journal.setup.zone_town import proposed_home
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
    assert sorted(path.name for path in folder.iterdir()) == [".schema", "journal.toml", "undated.toml"]
    assert stat.S_IMODE((folder / "journal.toml").stat().st_mode) & 0o077 == 0, "only its owner may read a journal"


def test_yes_without_a_time_zone_uses_latitude_and_longitude_0(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Etc/UTC")
    result = typed("start", tmp_path / "new", "--yes")
    assert "Home is set to Home (0, 0), Etc/UTC." in result.output
    assert "Put your own place" in result.output


def test_a_zone_that_only_etc_timezone_names_is_found(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A small system has no /etc/localtime, and the home of a new journal lay at latitude and longitude 0."""
    monkeypatch.delenv("TZ", raising=False)
    root = tmp_path / "root"
    (root / "etc").mkdir(parents=True)
    (root / "etc/timezone").write_text("Europe/Ljubljana\n", encoding="ascii")
    monkeypatch.setattr(unix, "_get_localzone_name", partial(unix._get_localzone_name, f"{root}/"))
    monkeypatch.setattr(unix, "_cache_tz_name", None)
    assert system_zone.system_zone() == "Europe/Ljubljana"
    assert "Home is set to Ljubljana (46.05, 14.52)" in typed("start", tmp_path / "new", "--yes").output


def test_the_language_is_that_of_the_system_or_another(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_ALL", "de_AT.UTF-8")
    assert typed("start", tmp_path / "taken", "--yes").exit_code == 0
    assert written(tmp_path / "taken")["language"] == "de"
    answers = ["Klingon", "english", "Title", *[""] * 9]
    asked = typed("start", tmp_path / "asked", answers="\n".join(answers) + "\n")
    assert "Fehler: es gibt keine Sprache „Klingon“; " in asked.output
    assert "Title [My journal]: " in asked.output, "what was chosen is spoken from then on"
    assert written(tmp_path / "asked")["language"] == "en"
    monkeypatch.setenv("LC_ALL", "fr_FR.UTF-8")
    assert "Language" not in typed("start", tmp_path / "other", answers="\n" * 12).output
    assert written(tmp_path / "other")["language"] == "en"


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
        '"whenever" is not a schedule; write e.g. "every day", "mo we fr", "3 a week", "every other friday" or "on the',
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


@pytest.mark.parametrize(
    ("option", "opens"), [("", True), ("--no-browser", False), ("--yes", False), ("a pipe", False)]
)
def test_it_ends_on_the_settings_page_for_a_person(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, option: str, opens: bool
) -> None:
    opened: list[tuple[Path, str]] = []
    monkeypatch.setattr(start, "is_asked_in_person", lambda: option != "a pipe")
    monkeypatch.setattr(page, "open_page", lambda folder, name, *_: opened.append((folder, name)))
    folder = tmp_path / "new"
    result = typed("start", folder, *([option] if option.startswith("--") else []), answers="\n" * 13)
    assert result.exit_code == 0, result.output
    assert f"duskbook settings {folder}\n" in result.output
    assert opened == ([(folder, "settings")] if opens else [])


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


@pytest.mark.parametrize(("there", "before", "after"), [(None, 0, 0o700), ([], 0o755, 0o700), (["mine"], 0o755, 0o755)])
def test_a_new_journal_is_for_its_owner_only(
    typed: Typed, tmp_path: Path, there: list[str] | None, before: int, after: int
) -> None:
    folder = tmp_path / "deep" / "new"
    if there is not None:
        folder.mkdir(parents=True)
        folder.chmod(before)
        for name in there:
            (folder / name).touch()
    assert typed("start", folder, "--yes").exit_code == 0
    assert stat.S_IMODE(folder.stat().st_mode) == after
    assert typed("log", folder, "--note", "Bread.").exit_code == 0
    made = [path for path in folder.rglob("*") if path.name not in (there or [])]
    assert {stat.S_IMODE(path.stat().st_mode) for path in made if path.is_file()} == {0o600}
    assert {stat.S_IMODE(path.stat().st_mode) for path in made if path.is_dir()} == {0o700}


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


@pytest.mark.parametrize(
    ("answers", "rule"),
    [
        ("every day|Daily|each day", "FREQ=DAILY"),
        ("every 3 days|every three days|every third day|every 3rd day", "FREQ=DAILY;INTERVAL=3"),
        ("every other day|every second day|every 2 days", "FREQ=DAILY;INTERVAL=2"),
        ("every week|weekly", "FREQ=WEEKLY"),
        ("every other week|every two weeks|every second week", "FREQ=WEEKLY;INTERVAL=2"),
        ("every other Friday|every second fr|every two weeks on Fridays", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"),
        ("every two weeks on mo|every other week on Monday", "FREQ=WEEKLY;INTERVAL=2;BYDAY=MO"),
        ("mo we fr|Mo, We, Fr|monday, wednesday and friday|on mondays wed fri", "FREQ=WEEKLY;BYDAY=MO,WE,FR"),
        ("weekdays|every weekday|mo-fr|Monday to Friday", "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"),
        ("weekends|every weekend|sa su|su, sa", "FREQ=WEEKLY;BYDAY=SA,SU"),
        ("on the 1st|the 1st|every 1st|on the first of the month|1st of every month", "FREQ=MONTHLY;BYMONTHDAY=1"),
        ("on the 1st and 15th|the 15th, 1st", "FREQ=MONTHLY;BYMONTHDAY=1,15"),
        ("on the last day|last day of the month", "FREQ=MONTHLY;BYMONTHDAY=-1"),
        ("last friday|on the last Friday of the month|every last friday", "FREQ=MONTHLY;BYDAY=-1FR"),
        ("second tuesday|2nd Tuesday of each month", "FREQ=MONTHLY;BYDAY=2TU"),
        ("freq=weekly;interval=2;byday=fr", "FREQ=WEEKLY;INTERVAL=2;BYDAY=FR"),
    ],
)  # fmt: skip
def test_a_rule_may_be_said_in_everyday_words(answers: str, rule: str) -> None:
    assert {answer: habit_questions.when(answer) for answer in answers.split("|")} == {
        answer: {"every": rule} for answer in answers.split("|")
    }


@pytest.mark.parametrize(
    ("answers", "times", "per"),
    [
        ("3 a week|three times a week|3x a week|3 times per week|3 days a week|3/week", 3, "week"),
        ("twice a week|2 a week", 2, "week"),
        ("once a month|1 a month|once every month", 1, "month"),
        ("3 a month|3 times each month.", 3, "month"),
    ],
)
def test_a_quota_may_be_said_in_everyday_words(answers: str, times: int, per: str) -> None:
    for answer in answers.split("|"):
        assert habit_questions.when(answer) == {"times": times, "per": per}, answer


@pytest.mark.parametrize(
    ("answer", "works"),
    [
        ("", "every other friday"),
        ("0 a week", "3 a week"),
        ("29 a month", "3 a month"),
        ("mo we blue", "mo we fr"),
        ("mondya", "monday"),
        ("evry othr friday", "every other friday"),
        ("every month", "on the 1st"),
        ("3 times", "3 a week"),
        ("twice a day", "every day"),
        ("on the 32nd", "on the last day"),
        ("6th friday", "last friday"),
        ("every third friday", "every 3 weeks on friday"),
        ("every year", "FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=14"),
    ],
)
def test_an_answer_that_is_not_a_schedule_gets_one_that_works(answer: str, works: str) -> None:
    with pytest.raises(ValueError, match=f'"{works}"'):
        habit_questions.when(answer)
    assert habit_questions.when(works)


@pytest.mark.parametrize("answer", ["FREQ=HOURLY", "every 0 days", "every 4000 weeks"])
def test_a_rule_out_of_bounds_gets_a_remedy(answer: str) -> None:
    with pytest.raises(ValueError, match="write"):
        habit_questions.when(answer)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.sampled_from(
            [
                "every",
                "other",
                "on",
                "the",
                "1st",
                "last",
                "friday",
                "mo",
                "week",
                "weeks",
                "2",
                "three",
                "days",
                "a",
                "-",
                "month",
                ",",
                "FREQ=",
            ]
        ),
        max_size=6,
    )
)
def test_any_answer_is_a_valid_schedule_or_gets_a_remedy(words: list[str]) -> None:
    try:
        keys = habit_questions.when(" ".join(words))
    except ValueError as error:
        assert "write" in str(error) or "did you mean" in str(error)
    else:
        assert set(keys) in ({"every"}, {"times", "per"})


def test_every_zone_with_a_town_has_a_place_on_earth() -> None:
    for zone in ("Antarctica/Troll", "Asia/Kolkata", "America/New_York", "Pacific/Auckland"):
        place = proposed_home(zone)
        assert -90 <= place.latitude <= 90
        assert -180 <= place.longitude <= 180
        assert (place.latitude, place.longitude) != (0, 0)
    # zone.tab: AQ -720041+0023206, with seconds
    assert proposed_home("Antarctica/Troll").latitude == pytest.approx(-72.0114, abs=0.005)
    assert proposed_home("Antarctica/Troll").longitude == pytest.approx(2.535, abs=0.0051)
