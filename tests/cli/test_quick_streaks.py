"""`show streaks` from what is kept of the days. tests/promises/kept_days.py changes files in between."""

from __future__ import annotations

import datetime as dt
import os
import shutil
import subprocess
import sys
from pathlib import Path
from unittest import mock

import pytest

from journal.commands import log, quick_streaks
from journal.commands.quick_streaks import StreaksAsked
from journal.commands.show_catalogue import FORMATS
from journal.folder import kept_days, reading
from tests.cli.conftest import PROJECT, program
from tests.journals import write
from tests.measures.test_running_streak import FIRST
from tests.promises.kept_days import NOW, expected, opened


@pytest.fixture
def walked(tmp_path: Path) -> Path:
    """A journal of three days, all old, which is kept."""
    walk = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": FIRST}
    days = [FIRST + dt.timedelta(days=n) for n in range(3)]
    folder = write(tmp_path / "walked", {day: {"habits": {"walk": True}} for day in days}, habits=[walk])
    for path in folder.rglob("*.toml"):
        os.utime(path, (1e9, 1e9))
    opened(folder, days[-1])
    return folder


TABLE = "habit  unit      current  current_from  pending  longest  longest_from  longest_to\n"


@pytest.mark.parametrize(("form", "code"), [*((form, "en") for form in FORMATS), ("table", "de")])
def test_the_program_prints_the_same_bytes_with_and_without(walked: Path, form: str, code: str) -> None:
    """Without what is kept the program opens the journal, and with it no library is imported, but for `pathlib`."""
    settings = walked / "journal.toml"
    settings.write_text(f'language = "{code}"\n{settings.read_text(encoding="utf-8")}', encoding="utf-8")
    os.utime(settings, (1e9, 1e9))
    arguments = ["show", "streaks", str(walked), "--today", "2024-02-15", "--format", form]
    stray = walked / "2024" / "2024-02-13 (1).toml"  # a problem to be told
    stray.write_text("mood = 4", encoding="utf-8")
    os.utime(stray, (1e9, 1e9))
    opened(walked, FIRST)
    command = [sys.executable, "-c", LOADED.format(arguments)]
    quick = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)
    (walked / ".cache" / kept_days.FILE_NAME).unlink()
    slow = program(*arguments)
    assert (quick.returncode, quick.stdout) == (slow.returncode, slow.stdout) and slow.stdout
    assert quick.stderr == f"{slow.stderr}['pathlib']\n", "for the words of the problem"
    assert {"en": "1 problem ", "de": "1 Fehler "}[code] in slow.stderr
    assert (walked / ".cache" / kept_days.FILE_NAME).exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ["show", "rates"], ["show", "streaks", "--from", "2025-03-01"], ["show", "streaks", "--help"],
        ["show", "streaks", "--format", "xml"], ["show", "streaks", "--today", "20250314"], ["log"], [],
        ["show", "streaks", "--today"], ["show", "streaks", "--today", "0001-01-01"], ["show", "streaks", ""],
        ["show", "streaks", "nowhere"], ["show", "streaks", ".", "twice"], ["show", "--", "streaks"],
        ["show", "streaks", "--format=csv", "--format=json"], ["show", "streaks", "--today", "2025-02-30"],
    ],
)  # fmt: skip
def test_every_other_command_line_is_left_to_the_commands(
    walked: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str]
) -> None:
    monkeypatch.setenv("DUSKBOOK_FOLDER", str(walked))
    assert quick_streaks.asked(arguments) is None


def test_the_usual_command_lines_are_taken(walked: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DUSKBOOK_FOLDER", str(walked))
    assert quick_streaks.asked(["show", "streaks"]) == (str(walked), None, "table")
    request = quick_streaks.asked(["show", "streaks", f"{walked}/", "--format=csv", "--today", "2025-03-14"])
    assert request == (f"{walked}/", dt.date(2025, 3, 14), "csv")
    monkeypatch.setenv("DUSKBOOK_FOLDER", "")
    monkeypatch.chdir(walked)
    assert quick_streaks.asked(["show", "streaks", "--format", "json"]) == (".", None, "json")


def test_today_is_that_of_home_and_its_turn(walked: Path) -> None:
    """At 01:30 in Ljubljana it is still the day before, which is pending."""
    told = quick_streaks.told(StreaksAsked(str(walked), None, "csv"), dt.datetime(2024, 2, 16, 0, 30, tzinfo=dt.UTC))
    assert told is not None and told.text.endswith("walk,occasion,3,2024-02-12,true,3,2024-02-12,2024-02-14")


def test_what_is_kept_does_for_a_year_and_not_for_ever(walked: Path) -> None:
    for days, is_kept in ((0, True), (360, True), (375, False)):
        told = quick_streaks.told(StreaksAsked(str(walked), FIRST + dt.timedelta(days=2 + days), "csv"), NOW)
        assert (told is not None) == is_kept, days


def test_a_broken_or_foreign_file_is_ignored(walked: Path) -> None:
    """Whatever is in the file: a bit that has changed, an end that is missing, the days of another journal."""
    path, request = walked / ".cache" / kept_days.FILE_NAME, StreaksAsked(str(walked), FIRST, "csv")
    data, right = path.read_bytes(), quick_streaks.told(request, NOW)
    assert right is not None
    for place in range(0, len(data), max(1, len(data) // 40)):
        path.write_bytes(data[:place] + bytes([data[place] ^ 4]) + data[place + 1 :])
        assert quick_streaks.told(request, NOW) is None
        path.write_bytes(data[:place])
        assert quick_streaks.told(request, NOW) is None
    path.write_bytes(data)
    assert quick_streaks.told(request, NOW) == right
    (walked / "2024" / f"{FIRST}.toml").unlink()
    assert quick_streaks.told(request, NOW) == expected(walked, FIRST, "csv") != right


def test_low_days_that_end_a_trial_are_counted_anew(walked: Path) -> None:
    """The blocks without the habit are free until low days end the trial, which the mood of one more page can do."""
    with (walked / "journal.toml").open("a", encoding="utf-8") as file:
        file.write(
            '[[trials]]\nkey = "evening-walk"\nquestion = "Does it help?"\nhabit = "walk"\n'
            "from = 2024-02-12\ndays = 60\nblock = 2\nseed = 4711\n"
        )
    days = [FIRST + dt.timedelta(days=n) for n in range(14)]
    pages = [walked / "2024" / f"{day}.toml" for day in days]
    for n, page in enumerate(pages[:-1]):
        page.write_text(f"mood = {4 if n < 2 else 1}\n[habits]\nwalk = false\n", encoding="utf-8")
        os.utime(page, (1e9, 1e9))
    opened(walked, FIRST)
    free, later = (
        StreaksAsked(str(walked), days[-1], "csv"),
        StreaksAsked(str(walked), days[-1] + dt.timedelta(days=9), "csv"),
    )
    assert quick_streaks.told(free, NOW) == expected(walked, days[-1], "csv")
    pages[-1].write_text("mood = 4\n", encoding="utf-8")
    assert quick_streaks.told(later, NOW) == expected(walked, later.today or FIRST, "csv")
    pages[-1].write_text("mood = 2\n", encoding="utf-8")
    assert quick_streaks.told(later, NOW) is None
    opened(walked, FIRST)  # as of a day before the low ones, with those of the days to come
    assert quick_streaks.told(later, NOW) == expected(walked, later.today or FIRST, "csv")
    assert quick_streaks.told(free, NOW) is not None
    assert quick_streaks.told(StreaksAsked(str(walked), days[-2], "csv"), NOW) is None, "it had not ended"


LOADED = (
    "import os, sys; from journal.program import main\nsys.argv[1:], os._exit = {!r}, sys.exit\n"
    "try:\n    main()\nfinally:\n"
    "    names = 'click', 'msgspec', 'numpy', 'pathlib', 'polars', 'rtoml'\n"
    "    print([name for name in names if name in sys.modules], file=sys.stderr)"
)
"""A command that tells which libraries it has loaded."""


def test_the_commands_of_the_example_year_need_no_frames(tmp_path: Path) -> None:
    """Whatever the example has in its settings: so it was slow for weeks from the day on that it had a trial."""
    folder = shutil.copytree(PROJECT / "example_year", tmp_path / "year", ignore=shutil.ignore_patterns(".*"))
    for path in folder.rglob("*.toml"):
        os.utime(path, (1e9, 1e9))
    opened(folder, dt.date(2025, 12, 30))
    habits = [
        f"--habit={habit.key}" for habit in opened(folder, dt.date(2025, 12, 30)).settings.habits if not habit.until
    ]
    for arguments, libraries in (
        (["show", "streaks", str(folder), "--today", "2025-12-30"], []),
        (["log", str(folder), "--date", "2025-12-30", *habits], ["click", "msgspec", "pathlib", "rtoml"]),
        (["show", "streaks", str(folder), "--today", "2025-12-30"], []),
        (["the page is edited"], []),
        (["show", "streaks", str(folder), "--today", "2025-12-30"], ["msgspec", "pathlib", "rtoml"]),
    ):
        if arguments == ["the page is edited"]:
            with (folder / "2025" / "2025-12-30.toml").open("a", encoding="utf-8") as page:
                page.write("# Edited.\n")
            continue
        command = [sys.executable, "-c", LOADED.format(arguments)]
        done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=True)
        assert done.stderr.splitlines()[-1] == str(libraries), arguments


def test_a_page_is_read_again_that_was_written_over_after_a_log(walked: Path) -> None:
    """Of the same length, with the same time of its content, within the second: its bytes and its other time tell."""
    day = FIRST + dt.timedelta(days=2)
    page = walked / "2024" / f"{day}.toml"
    for mark in ("walk=no", "walk"):
        log.log(walked, log.Given(habits=(mark,)), day, now=NOW)
        logged = page.stat()
        right = expected(walked, day, "csv")
        with mock.patch.object(reading, "read_page", side_effect=AssertionError("it was read")):
            assert quick_streaks.told(StreaksAsked(str(walked), day, "csv"), NOW) == right
    page.write_text(page.read_text(encoding="utf-8").replace("walk = true", "walk =false"), encoding="utf-8")
    os.utime(page, ns=(logged.st_atime_ns, logged.st_mtime_ns))
    assert page.stat().st_size == logged.st_size
    told = quick_streaks.told(StreaksAsked(str(walked), day, "csv"), NOW)
    assert told == expected(walked, day, "csv") != right


@pytest.mark.parametrize("beside", ["{}~", ".{}.icloud"])
def test_a_page_that_leaves_a_backup_behind_is_told(walked: Path, beside: str) -> None:
    """Beside its page it is nothing, and alone it is a problem."""
    page = walked / "2024" / f"{FIRST}.toml"
    left = page.with_name(beside.format(page.name))
    left.touch()
    os.utime(left, (1e9, 1e9))
    assert not opened(walked, FIRST).problems
    page.unlink()
    assert "1 problem " in expected(walked, FIRST, "csv").note
    assert quick_streaks.told(StreaksAsked(str(walked), FIRST, "csv"), NOW) is None


ENDED = (
    "import atexit, sys; from journal.program import main\nsys.argv[1:] = {!r}\n"
    "atexit.register(print, 'taken down')\n{}main()"
)
"""A command that says so if Python takes its modules down at its end."""


@pytest.mark.parametrize("profiler", ["", "sys.setprofile(lambda *_: None); "])
def test_short_commands_end_at_once_with_all_that_they_print(walked: Path, profiler: str) -> None:
    """What they write reaches a pipe as a whole. With a profiler they end as others do, or it would print nothing."""
    day = ["--date", f"{FIRST}"]
    for arguments, code, told in (
        (["show", "streaks", str(walked), "--today", "2024-02-15"], 0, "walk   occasion"),
        (["log", str(walked), *day, "--note", "Later."], 0, f"Saved to 2024/{FIRST}.toml: 1 note"),
        (["log", str(walked), *day, "--habit", "wlak"], 2, 'duskbook: there is no habit "wlak"'),
        (["log", str(walked), *day, "--hilt"], 2, "duskbook: there is no option --hilt"),
    ):
        command = [sys.executable, "-c", ENDED.format(arguments, profiler)]
        done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)
        assert done.returncode == code and told in done.stdout + done.stderr, (arguments, done)
        assert done.stdout.endswith("taken down\n") == bool(profiler), arguments
