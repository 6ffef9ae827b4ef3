"""`duskbook history`: the states of a page, what they changed, and bringing one back."""

from __future__ import annotations

import csv
import datetime as dt
import json
import os
from pathlib import Path
from typing import Any

import pytest

import journal
from journal.commands import page_history
from journal.folder import history, writing
from journal.planning import day_edits, day_offer
from tests.cli.conftest import Typed

DAY = "2025-03-14"


@pytest.fixture
def changed(small_journal: Path, typed: Typed) -> Path:
    """A page as it was, changed by `log` twice, and then in an editor."""
    path = small_journal / "2025" / f"{DAY}.toml"
    os.utime(path, (1741939200, 1741939200))  # 2025-03-14 08:00 UTC
    assert typed("log", small_journal, "--date", DAY, "--note", "Bread.").exit_code == 0
    assert typed("log", small_journal, "--date", DAY, "--mood", "1").exit_code == 0
    path.write_text(path.read_text(encoding="utf-8").replace("Bread.", "Brot."), encoding="utf-8")
    os.utime(path, (1773475200, 1773475200))  # 2026-03-14 08:00 UTC
    return small_journal


def rows(typed: Typed, *arguments: str | Path) -> list[dict[str, Any]]:
    result = typed("history", *arguments, "--format", "json")
    assert result.exit_code == 0, result.output
    decoded = json.loads(result.stdout)
    assert isinstance(decoded, list)
    return decoded


def test_the_states_of_a_page_say_what_they_changed(changed: Path, typed: Typed) -> None:
    found = rows(typed, changed, DAY)
    assert [list(row) for row in found] == [["page", "saved", "by", "added", "removed", "number", "changes"]] * 4
    assert [(row["number"], row["by"]) for row in found] == [(1, "elsewhere"), (2, "log"), (3, "log"), (4, "elsewhere")]
    assert [row["changes"] for row in found[:3]] == [
        ["note added: Brot.", "note removed: Bread."],
        ["mood 5 to 1"],
        ["note added: Bread."],
    ]
    assert (found[0]["added"], found[0]["removed"]) == (["note: Brot."], ["note: Bread."])
    assert (found[0]["saved"], found[3]["saved"]) == ("2026-03-14T09:00:00+01:00", "2025-03-14T09:00:00+01:00")
    table = typed("history", changed, DAY).stdout.splitlines()
    assert table[0].split() == ["number", "saved", "by", "changes"]
    assert table[1].split(maxsplit=4) == [
        "1",
        "2026-03-14",
        "09:00",
        "elsewhere",
        "note added: Brot.; note removed: Bread.",
    ]
    assert "first kept: mood 5; " in table[4]
    in_csv = list(csv.DictReader(typed("history", changed, DAY, "--format", "csv").stdout.splitlines()))
    assert [row["added"] for row in in_csv[:2]] == ["note: Brot.", "mood 1"]


def test_the_pages_that_were_changed_last_come_first(changed: Path, typed: Typed) -> None:
    assert typed("log", changed, "--date", "2025-03-13", "--note", "Rain.").exit_code == 0
    found = rows(typed, changed)
    assert len(found) == 13  # the pages of the journal
    assert [(row["page"], row["changes"]) for row in found[:1]] == [("2025-03-13", ["note added: Rain."])]
    assert len({row["page"] for row in found}) == len(found)
    assert DAY in {row["page"] for row in found}


def test_a_page_alone_is_of_the_journal_that_is_the_current_folder(
    changed: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(changed)
    assert [row["page"] for row in rows(typed, DAY)] == [DAY] * 4
    assert rows(typed, "2025") == []
    assert typed("history", "settings").stdout.startswith("number  saved")


def test_a_state_is_printed_whole_with_what_is_not_printable_escaped(changed: Path, typed: Typed) -> None:
    path = changed / "2025" / f"{DAY}.toml"
    path.write_bytes(path.read_bytes() + b"# \x1b]0;title\x07 \xc2\x9b31m \xff\t.\n")
    shown = typed("history", changed, DAY, "--show", "1").stdout
    assert shown.splitlines()[-1] == "# \\x1b]0;title\\x07 \\x9b31m \\xff    ."
    assert shown.splitlines()[0] == "mood = 1"
    for form in ("table", "json", "csv"):
        assert "\x1b" not in typed("history", changed, DAY, "--format", form).stdout


def test_a_state_is_brought_back_after_a_yes_and_the_page_is_kept(
    changed: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = changed / "2025" / f"{DAY}.toml"
    now, wanted = path.read_bytes(), history.states(changed, DAY)[0].data
    refused = typed("history", changed, DAY, "--bring-back", "4")
    assert "  note removed: Brot.\n" in refused.stdout
    assert "no terminal to ask on" in refused.stdout
    assert path.read_bytes() == now
    monkeypatch.setattr(page_history, "is_terminal", lambda: True)
    assert "Nothing is written." in typed("history", changed, DAY, "--bring-back", "4", answers="n\n").stdout
    assert path.read_bytes() == now
    assert typed("history", changed, DAY, "--bring-back", "4", answers="y\n").exit_code == 0
    assert path.read_bytes() == wanted
    found = rows(typed, changed, DAY)
    assert (found[0]["by"], found[0]["changes"]) == ("history", ["mood 1 to 5", "note removed: Brot."])
    assert typed("history", changed, DAY, "--bring-back", "2", "--yes").exit_code == 0
    assert path.read_bytes() == now
    assert "as it was then" in typed("history", changed, DAY, "--bring-back", "1", "--yes").stdout


def test_a_page_that_is_gone_comes_back_and_one_that_was_not_there_goes(changed: Path, typed: Typed) -> None:
    path = changed / "2025" / f"{DAY}.toml"
    text = path.read_bytes()
    path.unlink()
    assert rows(typed, changed, DAY)[0]["changes"] == ["page removed"]
    path.write_bytes(text)
    assert typed("log", changed, "--date", DAY, "--note", "Rain.").exit_code == 0
    path.unlink()
    assert typed("history", changed, DAY, "--bring-back", "3", "--yes").exit_code == 0
    assert path.read_bytes() == text
    assert typed("history", changed, DAY, "--show", "2").stdout == f"There was no page {DAY}.\n"
    assert typed("history", changed, DAY, "--bring-back", "2", "--yes").exit_code == 0
    assert not path.exists()


def test_a_page_that_changes_meanwhile_is_told(changed: Path, typed: Typed, monkeypatch: pytest.MonkeyPatch) -> None:
    path = changed / "2025" / f"{DAY}.toml"
    real = writing.put_back

    def late(*arguments: Any, **more: Any) -> Any:
        path.write_text(path.read_text(encoding="utf-8").replace("mood = 1", edit), encoding="utf-8")
        return real(*arguments, **more)

    monkeypatch.setattr(writing, "put_back", late)
    edit = "mood = 2"
    result = typed("history", changed, DAY, "--bring-back", "4", "--yes")
    assert (result.exit_code, "changed just now in the same place" in result.stdout) == (1, True)
    assert "mood = 2" in path.read_text()
    edit = "mood = 1\nenergy = 4"
    path.write_text(path.read_text(encoding="utf-8").replace("mood = 2", "mood = 1"), encoding="utf-8")
    result = typed("history", changed, DAY, "--bring-back", "4", "--yes")
    assert (result.exit_code, "What was changed elsewhere meanwhile is kept." in result.stdout) == (0, True)
    assert ("energy = 4" in path.read_text(), "mood = 5" in path.read_text()) == (True, True)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["setting"], 'did you mean "settings"?'),
        (["2025-13"], 'there is no period "2025-13"'),
        (["--show", "1"], "--show 1 needs a page"),
        ([DAY, "--show", "9"], 'has 4 states; "duskbook history'),
        ([DAY, "--show", "1", "--bring-back", "1"], "do not go together"),
        (["2031-01-01", "--bring-back", "1"], "has no state"),
        ([DAY, "--format", "xml"], 'there is no format "xml"'),
    ],
)
def test_wrong_usage_is_one_line_with_a_remedy(changed: Path, typed: Typed, arguments: list[str], message: str) -> None:
    result = typed("history", changed, *arguments)
    assert result.exit_code == 2
    assert message in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_an_import_and_an_edit_of_a_day_are_named(small_journal: Path, typed: Typed, tmp_path: Path) -> None:
    (tmp_path / "days.csv").write_text("date,note\n2025-02-01,Rain.\n", encoding="utf-8")
    assert typed("import", "spreadsheet", tmp_path / "days.csv", small_journal, "--yes").exit_code == 0
    day = dt.date(2025, 2, 1)
    now = dt.datetime(2025, 2, 1, 21, 4, tzinfo=dt.UTC)
    book = journal.open(small_journal, today=day)
    offer = day_offer.offer(book, day, now)
    note = {"what": "line", "list": "notes", "text": "Snow."}
    assert day_edits.save(book, {"base": offer.base, "day": offer.day, "edit": note}, now=now).answer.saved
    found = rows(typed, small_journal, "2025-02-01")
    assert [(row["by"], row["added"][0]) for row in found] == [("day", "note: Snow."), ("import", "note: Rain.")]


def test_a_page_without_a_state_says_so(changed: Path, typed: Typed) -> None:
    assert typed("history", changed, "2031-01-01").stdout == "No earlier state of 2031-01-01 is kept.\n"
