"""`duskbook log`: it writes the given values only, and answers in one line."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from journal.commands import log as logging
from tests.cli.conftest import PROJECT, Typed
from tests.journals import write

DAY = "2025-03-16"
CHALLENGE = '\n[[challenges]]\nkey = "letters"\nname = "Letters"\nfrom = 2025-03-01\nuntil = 2025-03-30\n'


OUT_OF_FORCE = '--habit walk: it is kept from 2025-03-03, not on 2025-03-01; change "from" or "until" in journal.toml'
NO_CHALLENGE = 'there is no challenge "letters"; add it to journal.toml as one of the [[challenges]]'


def page(folder: Path, day: str = DAY) -> dict[str, Any]:
    return tomllib.loads((folder / "2025" / f"{day}.toml").read_text(encoding="utf-8"))


def test_given_values_are_written_and_answered_in_one_line(typed: Typed, small_journal: Path) -> None:
    settings = small_journal / "journal.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + CHALLENGE, encoding="utf-8")
    result = typed(
        "log", small_journal, "--date", DAY, "--mood", "4", "--energy", "2.5", "--habit", "walk", "--habit", "read=24",
        "--habit", "swim=rest", "--challenge", "letters", "--gratitude", "Bread, still warm.", "--memory", "Sewn.",
        "--note", "Ask.", "--note", "Tell.",
    )  # fmt: skip
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == (
        "Saved to 2025/2025-03-16.toml: mood 4; energy 2.5; walk done (8th in a row); read 24 pages (8th in a row); "
        "swim rests (streak of 1 week kept); challenge letters; 1 gratitude line; 2 notes; a memory\n"
    )
    assert page(small_journal) == {
        "mood": 4, "energy": 2.5, "gratitude": ["Bread, still warm."], "memory": "Sewn.",
        "notes": ["Only planned.", "Ask.", "Tell."], "habits": {"walk": True, "read": 24, "swim": "rest"},
        "challenges": {"letters": True}, "asked": False,
    }  # fmt: skip


def test_a_week_that_still_runs_is_not_told_as_met(typed: Typed, small_journal: Path) -> None:
    """The quota is 3 a week: the first swim of a week makes no second week in a row."""

    def swum(day: str) -> str:
        return typed("log", small_journal, "--date", day, "--habit", "swim").stdout.partition(": ")[2]

    assert swum("2025-03-17") == "swim done (streak of 1 week before this one)\n"
    assert swum("2025-03-18") == "swim done (streak of 1 week before this one)\n"
    assert swum("2025-03-19") == "swim done (streak of 2 weeks)\n"


def test_a_day_that_a_trial_leaves_free_ends_no_streak(typed: Typed, tmp_path: Path) -> None:
    """With this seed the lot draws on, on, off, off, on. The free days were asked for, and have no mark."""
    first = dt.date(2025, 3, 10)
    walk = {"key": "walk", "name": "Walk", "every": "FREQ=DAILY", "from": first}
    trial = {"key": "w", "question": "?", "habit": "walk", "from": first, "days": 60, "block": 2, "seed": 4711}
    marks: list[dict[str, Any]] = [{"walk": True}, {"walk": True}, {}, {}]
    pages = {first + dt.timedelta(days=place): {"habits": mark} for place, mark in enumerate(marks)}
    write(tmp_path, pages, habits=[walk], trials=[trial])
    answer = typed("log", tmp_path, "--date", "2025-03-14", "--habit", "walk").stdout
    assert answer.endswith(": walk done (3rd in a row)\n")


def test_a_number_is_answered_in_the_unit_of_its_day(typed: Typed, small_journal: Path) -> None:
    settings = small_journal / "journal.toml"
    later = '\n[[habits]]\nkey = "read"\nname = "Read"\nevery = "FREQ=DAILY"\nfrom = 2025-03-15\ntarget = 30\n'
    settings.write_text(f'{settings.read_text("utf-8")}{later}unit = "minutes"\n', encoding="utf-8")
    for day, unit in (("2025-03-14", "pages"), (DAY, "minutes")):
        assert f"read 40 {unit} (" in typed("log", small_journal, "--date", day, "--habit", "read=40").stdout


def test_a_new_page_and_a_page_with_comments(typed: Typed, small_journal: Path) -> None:
    assert typed("log", small_journal, "--date", "2025-03-08", "--habit", "walk=no").stdout == (
        "Saved to 2025/2025-03-08.toml: walk not done (no streak running)\n"
    )
    assert typed("log", small_journal, "--date", DAY, "--habit", "swim=no").stdout == (
        f"Saved to 2025/{DAY}.toml: swim not done (streak of 1 week kept)\n"  # other days of the week fill the quota
    )
    path = small_journal / "2025" / "2025-03-09.toml"
    path.write_text("# Sunday\nmood = 3 # so so\nmystery = 1\n", encoding="utf-8")
    assert typed("log", small_journal, "--date", "2025-03-09", "--mood", "5").exit_code == 0
    assert path.read_text(encoding="utf-8") == "# Sunday\nmood = 5 # so so\nmystery = 1\n"


NAMED = '\n[[habits]]\nkey = "{0}"\nname = "{1}"\nevery = "FREQ=DAILY"\nfrom = 2025-03-03\n'


def test_a_habit_goes_by_its_name_too_and_a_number_has_a_comma_as_on_the_page(
    typed: Typed, small_journal: Path
) -> None:
    settings = small_journal / "journal.toml"
    river = NAMED.format("river", "Walk by the river") + NAMED.format("sum", "1 = 1")
    settings.write_text(settings.read_text(encoding="utf-8") + river, encoding="utf-8")
    line = ("log", small_journal, "--date", DAY)
    named = typed(*line, "--habit", "Walk by the river", "--habit", "Read=12,5", "--habit", "1 = 1=no", "--mood", "3,5")
    assert (named.exit_code, named.stderr) == (0, "")
    assert "river done" in named.stdout and "in a row" not in named.stdout
    assert page(small_journal)["habits"] == {"river": True, "read": 12.5, "sum": False}
    assert page(small_journal)["mood"] == 3.5
    assert typed(*line, "--habit", "walk BY the river=rest").exit_code == 0
    for text, said in {
        "Walk by": 'there is no habit "Walk by"; did you mean "Walk by the river"?',
        "Walk by the rver=no": 'there is no habit "Walk by the rver"; did you mean "Walk by the river"?',
        "Read=1.200,5": '--habit Read=1.200,5: "1.200,5" is not a number from 0 up; write e.g. "read=20"',
        "": 'there is no habit ""; write walk, read, swim, river or sum',
    }.items():
        assert typed(*line, "--habit", text).stderr == f"duskbook: {said}\n"


def test_a_name_that_two_habits_share_is_none(typed: Typed, small_journal: Path) -> None:
    settings = small_journal / "journal.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + NAMED.format("pages", "Read"), encoding="utf-8")
    refused = typed("log", small_journal, "--date", DAY, "--habit", "Read=3")
    assert refused.stderr == 'duskbook: more than one habit is called "Read"; write the key: read or pages\n'
    assert typed("log", small_journal, "--date", DAY, "--habit", "read=3").exit_code == 0


def test_the_same_twice_is_written_once(typed: Typed, small_journal: Path) -> None:
    line = ("log", small_journal, "--date", DAY, "--habit", "walk", "--gratitude", "Bread.", "--memory", "Sewn.")
    assert typed(*line).stdout.startswith("Saved")
    before = (small_journal / "2025" / f"{DAY}.toml").read_bytes()
    assert typed(*line).stdout == f"2025/{DAY}.toml has all of it already\n"
    assert (small_journal / "2025" / f"{DAY}.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), 'there is nothing to log; write e.g. "duskbook log --mood 4 --habit walk"'),
        (("--habit", "wlak"), 'there is no habit "wlak"; did you mean "walk"?'),
        (("--habit", "zzz"), 'there is no habit "zzz"; write walk, read or swim'),
        (("--habit", "read"), '--habit read: it is counted, so write how many pages, e.g. "read=20"'),
        (("--habit", "read=lots"), '--habit read=lots: "lots" is not a number from 0 up; write e.g. "read=20"'),
        (("--habit", "read=-1"), '--habit read=-1: "-1" is not a number from 0 up; write e.g. "read=20"'),
        (("--habit", "walk=3"), '--habit walk=3: write "walk", "walk=no" or "walk=rest"; it is not counted'),
        (("--challenge", "letters"), NO_CHALLENGE),
        (("--mood", "9"), "--mood 9: the scale of this journal goes from 1 to 5; write one of these"),
        (("--mood", "good"), '--mood: "good" is not a number; write e.g. "4"'),
        (("--gratitude", " "), '--gratitude: the text is empty; write e.g. --gratitude "Bread, still warm."'),
        (("--mood", "4", "--date", "2025-02-30"), '--date: there is no day "2025-02-30"; write e.g. "2025-03-14"'),
        (("--mood", "4", "--date", "2999-01-01"), "--date 2999-01-01 is still to come; log it on that day"),
        (("--habit", "walk", "--date", "2025-03-01"), OUT_OF_FORCE),
        (("--share",), f'--share: 2025/{DAY}.toml has no memory to share; add e.g. --memory "First frost."'),
        (("--moood", "4"), "there is no option --moood; did you mean --mood?"),
    ],
)  # fmt: skip
def test_unknown_names_and_invalid_values_are_rejected_with_a_remedy(
    typed: Typed, small_journal: Path, options: tuple[str, ...], said: str
) -> None:
    before = {path: path.read_bytes() for path in small_journal.rglob("*.toml")}
    day = () if "--date" in options else ("--date", DAY)
    result = typed("log", small_journal, *day, *options)
    assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"duskbook: {said}\n")
    assert {path: path.read_bytes() for path in small_journal.rglob("*.toml")} == before


def test_a_challenge_that_was_caught_up_on(typed: Typed, small_journal: Path) -> None:
    settings = small_journal / "journal.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + CHALLENGE, encoding="utf-8")
    line = ("log", small_journal, "--date", "2025-03-14", "--challenge")
    assert typed(*line, "letters=2025-03-16").stdout == (
        "Saved to 2025/2025-03-14.toml: challenge letters caught up on 2025-03-16\n"
    )
    assert page(small_journal, "2025-03-14")["challenges"] == {"letters": dt.date(2025, 3, 16)}
    assert typed(*line, "letters=2025-03-16").stdout == "2025/2025-03-14.toml has all of it already\n"
    for tick, said in {
        "soon": 'write "letters", "letters=no", or the later day on which it was done, e.g. "letters=2025-03-15"',
        "2025-03-14": 'the tick is for 2025-03-14; write "letters", or a later day on which it was done',
        "2999-01-01": "2999-01-01 is still to come; log it on that day",
    }.items():
        assert typed(*line, f"letters={tick}").stderr == f"duskbook: --challenge letters={tick}: {said}\n"
    assert page(small_journal, "2025-03-14")["challenges"] == {"letters": dt.date(2025, 3, 16)}


def test_existing_text_is_not_overwritten(typed: Typed, small_journal: Path) -> None:
    assert typed("log", small_journal, "--date", DAY, "--memory", "Sewn.").exit_code == 0
    result = typed("log", small_journal, "--date", DAY, "--memory", "Shut.", "--mood", "4")
    assert result.exit_code == 2
    assert result.stderr == (
        'duskbook: --memory: the page has one already, "Sewn."; write this as --note, or change the page\n'
    )
    assert page(small_journal) == {"memory": "Sewn.", "notes": ["Only planned."]}


def test_a_memory_is_shared_and_unshared(typed: Typed, small_journal: Path) -> None:
    line = ("log", small_journal, "--date", DAY)
    shared = typed(*line, "--memory", "Sewn.", "--share")
    assert shared.stdout == f"Saved to 2025/{DAY}.toml: a memory; a friend may read the memory\n"
    assert page(small_journal) == {"memory": "Sewn.", "share": True, "notes": ["Only planned."]}
    again = typed(*line, "--no-share")
    assert again.stdout == f"Saved to 2025/{DAY}.toml: the memory is yours alone\n"
    assert page(small_journal) == {"memory": "Sewn.", "notes": ["Only planned."]}
    assert typed(*line, "--share").exit_code == 0 and page(small_journal)["share"] is True


def test_a_share_mark_from_before_the_memory_is_mentioned(typed: Typed, small_journal: Path) -> None:
    (small_journal / "2025" / f"{DAY}.toml").write_text("share = true\n", encoding="utf-8")
    said = typed("log", small_journal, "--date", DAY, "--memory", "Sewn.").stdout
    assert said == f"Saved to 2025/{DAY}.toml: a memory; a friend may read the memory\n"


def test_a_broken_page_is_rejected_and_unchanged(typed: Typed, small_journal: Path) -> None:
    path = small_journal / "2025" / f"{DAY}.toml"
    path.write_text("mood = \n", encoding="utf-8")
    result = typed("log", small_journal, "--date", DAY, "--mood", "4")
    assert result.exit_code == 2 and f"2025/{DAY}.toml:1" in result.stderr
    assert path.read_text(encoding="utf-8") == "mood = \n"


def test_after_midnight_it_is_still_the_day_before(small_journal: Path) -> None:
    now = dt.datetime(2025, 3, 17, 1, 30, tzinfo=dt.UTC)  # 02:30 in Ljubljana, and the day turns at 4
    said = logging.log(small_journal, logging.Given(fields={"mood": 3}), None, now=now)
    assert said == "Saved to 2025/2025-03-16.toml: mood 3"


def test_log_imports_no_heavy_modules(small_journal: Path) -> None:
    code = (
        "import sys; from journal.cli import duskbook\n"
        f"duskbook(['log', {str(small_journal)!r}, '--date', '{DAY}', '--habit', 'walk'], standalone_mode=False)\n"
        "print([name for name in ('polars', 'numpy', 'altair', 'marimo', 'icalendar', 'ephem') if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, check=True)
    assert run.stdout.splitlines() == ["Saved to 2025/2025-03-16.toml: walk done (8th in a row)", "[]"]
