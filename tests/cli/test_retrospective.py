"""`duskbook export retrospective` on the command line: the year, the files, the reader, and the output."""

from __future__ import annotations

import datetime as dt
import struct
from pathlib import Path

import pytest

from journal.commands import clock
from tests.cli.conftest import Typed


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty current folder, at noon of a day in January."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setattr(clock, "now", lambda: dt.datetime(2026, 1, 5, 12, tzinfo=dt.UTC))
    return folder


def made(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_in_january_the_default_is_the_year_before(typed: Typed, small_journal: Path, here: Path) -> None:
    result = typed("export", "retrospective", small_journal)
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith("retrospective-2025.html  ") and made(here) == ["retrospective-2025.html"]
    page = (here / "retrospective-2025.html").read_text("utf-8")
    assert "<title>Small, 2025</title>" in page and "=SUM(A1) on the 4th" in page


def test_the_file_name_has_the_reader_and_the_page_has_no_private_text(
    typed: Typed, small_journal: Path, here: Path
) -> None:
    for reader in ("friend", "anyone"):
        assert typed("export", "retrospective", small_journal, "--for", reader, "--name", "swim").exit_code == 0
    assert made(here) == ["retrospective-2025-for-anyone.html", "retrospective-2025-for-friend.html"]
    for path in here.iterdir():
        page = path.read_text("utf-8")
        assert "SUM(A1)" not in page and "Swim" in page and ("Walk" in page) == ("friend" in path.name)


def test_to_takes_a_file_or_a_folder(typed: Typed, small_journal: Path, here: Path) -> None:
    (here / "shelf").mkdir()
    typed("export", "retrospective", small_journal, "--to", "shelf")
    typed("export", "retrospective", small_journal, "--to", "new/year.html")
    assert made(here) == ["new/year.html", "shelf/retrospective-2025.html"]
    assert (here / "new/year.html").read_bytes() == (here / "shelf/retrospective-2025.html").read_bytes()


def test_pictures_are_named_by_dates_and_have_print_resolution(typed: Typed, small_journal: Path, here: Path) -> None:
    result = typed("export", "retrospective", small_journal, "--format", "png")
    assert (result.exit_code, result.stderr) == (0, "")
    folder = here / "retrospective-2025-pictures"
    assert made(folder) == ["2025-03.png", "year-in-pixels.png"]
    for path in folder.iterdir():
        header, physical = path.read_bytes()[16:24], path.read_bytes().partition(b"pHYs")[2][:8]
        across, _ = struct.unpack(">II", header)  # PNG specification, 11.2.2 IHDR and 11.3.5.3 pHYs
        a_metre, _ = struct.unpack(">II", physical)
        assert a_metre == round(300 / 0.0254) and abs(across / a_metre - 0.210) < 0.001


def test_missing_glyphs_are_reported(typed: Typed, small_journal: Path, here: Path) -> None:
    settings = small_journal / "journal.toml"
    settings.write_text(settings.read_text("utf-8").replace('"Walk"', '"Walk \U0010fff0"'), "utf-8")
    result = typed("export", "retrospective", small_journal, "--format", "png")
    assert result.exit_code == 0 and len(made(here)) == 2
    assert "1 letter has no font on this machine" in result.stderr and "U+10FFF0" in result.stderr


def test_a_year_without_pages(typed: Typed, small_journal: Path, here: Path) -> None:
    assert typed("export", "retrospective", small_journal, "--year", "2031").exit_code == 0
    assert "Nothing was written in 2031." in (here / "retrospective-2031.html").read_text("utf-8")
    result = typed("export", "retrospective", small_journal, "--year", "2031", "--format", "png")
    assert result.exit_code == 0 and "no file was made" in result.stdout
    assert made(here) == ["retrospective-2031.html"]


@pytest.mark.parametrize(
    ("typed_in", "said"),
    [
        (["--year", "20x"], '--year: there is no year "20x"; write e.g. "2025"'),
        (["--format", "doc"], 'there is no format "doc"; write html, pdf or png'),
        (["--for", "freind"], 'there is no reader "freind"; did you mean "friend"?'),
        (["--for", "anyone", "--name", "wlk"], 'there is no habit "wlk" to name; write "walk"'),
        (["--paper", "a4"], '--paper goes with "--format pdf"; html has no paper'),
    ],
)
def test_unknown_names_are_rejected_in_one_line(
    typed: Typed, small_journal: Path, here: Path, typed_in: list[str], said: str
) -> None:  # fmt: skip
    result = typed("export", "retrospective", small_journal, *typed_in)
    assert (result.exit_code, result.stdout, result.stderr) == (2, "", f"duskbook: {said}\n")
    assert made(here) == []
