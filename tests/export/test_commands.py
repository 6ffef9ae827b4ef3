"""`duskbook export text`, `tables` and `calendar` on the command line: their files and output."""

from __future__ import annotations

import errno
import os
import re
from pathlib import Path

import pytest

from tests.cli.conftest import Typed, small_journal, typed

__all__ = ["small_journal", "typed"]  # fixtures
KINDS = {"text": "text/2025-03.md", "tables": "tables/appointments.csv", "calendar": "calendar.ics"}


@pytest.fixture(autouse=True)
def beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    return here


@pytest.fixture
def planned(small_journal: Path) -> Path:
    (small_journal / "2025" / "2025-03-16.toml").write_text('[hours.planned]\nsleep = ["00:00-06:15"]\n', "utf-8")
    return small_journal


def export(typed: Typed, kind: str, folder: Path, *more: str) -> tuple[int, str, str]:
    year = [] if kind == "tables" else ["--year", "2025"]
    result = typed("export", kind, folder, *year, *more)
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize("kind", KINDS)
def test_files_go_to_the_current_folder_and_are_listed(typed: Typed, planned: Path, beside: Path, kind: str) -> None:
    code, said, wrong = export(typed, kind, planned)
    assert (code, wrong) == (0, "")
    assert said.splitlines()[0].startswith(f"{KINDS[kind]}  ")
    assert len(said.splitlines()) == sum(path.is_file() for path in beside.rglob("*"))
    assert (beside / KINDS[kind]).stat().st_size > 0


@pytest.mark.parametrize("kind", KINDS)
def test_files_go_to_another_folder_and_stay_the_same(typed: Typed, planned: Path, beside: Path, kind: str) -> None:
    before = {path: path.read_bytes() for path in planned.rglob("*.toml")}
    assert export(typed, kind, planned, "--to", "away/there")[0] == 0
    made = {path: path.read_bytes() for path in (beside / "away").rglob("*") if path.is_file()}
    assert made and "replaced" not in export(typed, kind, planned, "--to", "away/there")[1]
    assert made == {path: path.read_bytes() for path in (beside / "away").rglob("*") if path.is_file()}
    assert before == {path: path.read_bytes() for path in planned.rglob("*.toml")}


@pytest.mark.parametrize("kind", KINDS)
def test_a_full_disk_is_reported_and_leaves_nothing(
    typed: Typed, planned: Path, beside: Path, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    export(typed, kind, planned, "--to", "away")  # creates the snapshot of the journal

    def refuse(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", refuse)
    code, said, wrong = export(typed, kind, planned)
    assert (code, said) == (2, "")
    assert "No space left on device" in wrong and "make room, or write to another disk with --to" in wrong
    assert not (beside / KINDS[kind]).exists()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("text --year 2031", "Nothing is written from 2031-01-01 to 2031-12-31; no file was made.\n"),
        (
            "calendar --days 2031-01",
            "No appointment is written and no hours are planned from 2031-01-01 to 2031-01-31; no file was made.\n",
        ),
        (
            "calendar --year 2025 --only appointments",
            "No appointment is written from 2025-01-01 to 2025-12-31; no file was made.\n",
        ),
    ],
)
def test_an_empty_export_prints_a_message(typed: Typed, planned: Path, beside: Path, line: str, said: str) -> None:
    kind, *more = line.split()
    result = typed("export", kind, planned, *more)
    assert (result.exit_code, result.stdout, result.stderr) == (0, said, "")
    assert list(beside.iterdir()) == []


def test_a_problem_in_the_journal_is_mentioned(typed: Typed, planned: Path) -> None:
    (planned / "2025" / "2025-03-03.toml").write_text("mood = 9\n", "utf-8")
    for kind in KINDS:
        code, _, wrong = export(typed, kind, planned)
        assert (code, wrong) == (0, f'duskbook: 1 problem in this journal; "duskbook check {planned}" tells where\n')


@pytest.mark.parametrize("kind", KINDS)
def test_the_help_says_that_files_are_for_the_owner(typed: Typed, kind: str) -> None:
    assert "for you alone" in " ".join(typed("export", kind, "--help").output.split())


ONE_FILE = {
    "calendar": ("calendar.ics", ("--year", "2025")),
    "pages": ("pages-2025-04-01.pdf", ("--date", "2025-03-31")),
    "retrospective": ("retrospective-2025.html", ("--year", "2025")),
    "text": ("2025-03.md", ("--year", "2025")),
}
"""Exports that make one file of this journal: its name, and the options that it needs."""


@pytest.mark.parametrize("kind", ONE_FILE)
def test_to_takes_a_file_or_a_folder_alike(typed: Typed, planned: Path, beside: Path, kind: str) -> None:
    """`calendar --to folder/` failed, `pages --to new` wrote a PDF called `new`, and `text --to march.md` a folder."""
    name, options = ONE_FILE[kind]
    suffix = Path(name).suffix
    (beside / "there").mkdir()
    (beside / "v1.2").mkdir()
    for place, made in {
        "there": f"there/{name}",
        "v1.2": f"v1.2/{name}",
        "new": f"new/{name}",
        "new.folder/": f"new.folder/{name}",
        f"mine{suffix}": f"mine{suffix}",
        f"deep/mine{suffix.upper()}": f"deep/mine{suffix.upper()}",
    }.items():
        result = typed("export", kind, planned, *options, "--to", place)
        assert (result.exit_code, result.stderr) == (0, ""), place
        assert result.stdout.startswith(f"{made}  "), place
        assert (beside / made).is_file()


def test_several_files_do_not_go_into_one(typed: Typed, planned: Path, beside: Path) -> None:
    result = typed("export", "tables", planned, "--to", "all.csv")
    assert (result.exit_code, result.stdout) == (2, "")
    said = '--to: "all.csv" is one file, and this export makes 15; name a folder, e.g. "--to all"'
    assert re.sub(r"\d+;", "15;", result.stderr) == f"duskbook: {said}\n"
    assert list(beside.iterdir()) == []
    assert typed("export", "tables", planned, "--to", "tables.2025").exit_code == 0
    assert (beside / "tables.2025" / "days.csv").is_file()


def test_a_file_without_an_ending_is_replaced(typed: Typed, planned: Path, beside: Path) -> None:
    (beside / "plain").write_text("old", "utf-8")
    assert typed("export", "calendar", planned, "--year", "2025", "--to", "plain").stdout.endswith(", replaced\n")
