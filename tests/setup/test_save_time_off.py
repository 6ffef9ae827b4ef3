"""Time off from the page: added, edited, shortened and removed in journal.toml, and the same bytes when it goes."""

from __future__ import annotations

import datetime as dt
import tempfile
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.saving.save_pages import SaveResult
from journal.setup import save_time_off, time_off_form
from tests.choosing import Chooser
from tests.journals import HOME
from tests.setup.settings_texts import HABITS, settings_texts

NOW = dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)
TODAY = dt.date(2025, 3, 13)
SETTINGS = f"""\
title = "Spine and thread"

{HOME}
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01

[[habits]]
key = "read"
name = "Read"
every = "FREQ=DAILY"
from = 2025-01-01

# Away.
[[rests]]
from = 2025-03-10   # the night train
until = 2025-03-16
reason = "holiday"

[[rests]]
from = 2025-02-01
until = 2025-02-03
habits = ["read"]

# The end.
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    return tmp_path


def offered(folder: Path) -> dict[str, Any]:
    offer = msgspec.to_builtins(time_off_form.offer(journal.open(folder, today=TODAY, cache=False)))
    assert isinstance(offer, dict)
    return offer


def save(folder: Path, what: str, offer: dict[str, Any] | None = None, **values: Any) -> SaveResult:
    offer = offered(folder) if offer is None else offer
    book = journal.open(folder, today=TODAY, cache=False)
    return save_time_off.save(book, {"base": offer["base"], "what": what} | values, now=NOW)


def text(folder: Path) -> str:
    return (folder / "journal.toml").read_text(encoding="utf-8")


def days(first: str, until: str, **more: Any) -> dict[str, Any]:
    return {"from": first, "until": until} | more


def values_of(rest: dict[str, Any], **changed: Any) -> dict[str, Any]:
    own = {"from": rest["first"], "until": rest["until"], "habits": rest["habits"], "reason": rest["reason"]}
    return {"ref": rest["ref"]} | own | changed


def test_the_list_has_the_running_and_the_coming_first(folder: Path) -> None:
    save(folder, "add", **days("2025-04-01", "2025-04-02"))
    offer = offered(folder)
    assert offer["summary"] == "now, until 16 March"
    assert [(rest["when"], rest["said"], rest["reason"]) for rest in offer["rests"]] == [
        ("now", "10 to 16 March 2025, all habits", "holiday"),
        ("ahead", "1 to 2 April 2025, all habits", ""),
        ("over", "1 to 3 February 2025, Read", ""),
    ]
    assert [habit["name"] for habit in offer["habits"]] == ["Walk", "Read"]


def test_one_is_added_edited_shortened_and_removed(folder: Path) -> None:
    flu = days("2025-03-11", "2025-03-14", habits=["walk"], reason=" flu\n")
    assert save(folder, "add", **flu).saved
    added = '[[rests]]\nfrom = 2025-03-11\nuntil = 2025-03-14\nhabits = ["walk"]\nreason = "flu"\n'
    before, end = SETTINGS.split("# The end.\n")
    assert text(folder) == f"{before}# The end.\n\n{added}{end}"
    mine = next(rest for rest in offered(folder)["rests"] if rest["reason"] == "flu")
    assert save(folder, "edit", **values_of(mine, habits=[], until="2025-03-15", reason="")).saved
    assert text(folder).endswith("# The end.\n\n[[rests]]\nfrom = 2025-03-11\nuntil = 2025-03-15\n")
    mine = next(rest for rest in offered(folder)["rests"] if rest["until"] == "2025-03-15")
    assert save(folder, "back", ref=mine["ref"]).saved
    assert text(folder).endswith("from = 2025-03-11\nuntil = 2025-03-12\n")
    mine = next(rest for rest in offered(folder)["rests"] if rest["until"] == "2025-03-12")
    assert save(folder, "remove", ref=mine["ref"]).saved
    assert text(folder) == SETTINGS


def test_back_on_the_first_day_removes_it(folder: Path) -> None:
    assert save(folder, "add", **days("2025-03-13", "2025-03-20")).saved
    mine = next(rest for rest in offered(folder)["rests"] if rest["first"] == "2025-03-13")
    assert save(folder, "back", ref=mine["ref"]).saved
    assert text(folder) == SETTINGS
    over = offered(folder)["rests"][-1]
    assert "does not include today" in save(folder, "back", ref=over["ref"]).problems[0].message


def test_an_unchanged_edit_changes_no_byte(folder: Path) -> None:
    for rest in offered(folder)["rests"]:
        assert save(folder, "edit", **values_of(rest)).said.startswith("Nothing to save")
    assert text(folder) == SETTINGS


@pytest.mark.parametrize(
    ("values", "field", "message"),
    [
        ({"from": "", "until": "2025-03-14"}, "from", "The day is missing; choose one."),
        ({"from": "2025-03-14", "until": "2025-03-13"}, "until", "Expected a day from 14 March 2025 on, got 13 March"),
        ({"from": "0025-03-14", "until": "2025-03-14"}, "from", "Expected a day from 1 January 1900 on"),
        ({"from": "2025-03-14", "until": "soon"}, "until", 'There is no day "soon"'),
        ({"from": "2025-03-14", "until": "2025-03-14", "habits": ["fly"]}, "habits", "choose again"),
        ({"from": "2025-03-14", "until": "2025-03-14", "reason": 7}, "reason", "Expected words"),
        ({"what": "burn"}, "what", "choose one of them"),
        ({"what": "remove", "ref": "2020-01-01"}, "", "This time off is no longer in journal.toml"),
        ({"base": "x"}, "", "open the page anew"),
    ],
)
def test_a_wrong_value_is_told_at_its_field(folder: Path, values: dict[str, Any], field: str, message: str) -> None:
    result = save(folder, values.pop("what", "add"), **values)
    assert field in [problem.field for problem in result.problems]
    assert any(message in problem.message for problem in result.problems)
    assert text(folder) == SETTINGS


def test_two_windows(folder: Path) -> None:
    stale = offered(folder)
    running = stale["rests"][0]
    assert save(folder, "edit", **values_of(running, until="2025-03-20")).saved
    assert save(folder, "add", stale, **days("2025-05-01", "2025-05-02")).saved  # beside it
    assert len(offered(folder)["rests"]) == 3
    before = text(folder)
    assert save(folder, "edit", stale, **values_of(running, until="2025-03-18")).conflict
    assert save(folder, "remove", stale, ref=running["ref"]).conflict
    assert text(folder) == before
    assert save(folder, "edit", stale, **values_of(running, until="2025-03-20")).saved  # the same once more


def test_a_broken_journal_toml_closes_the_list(folder: Path) -> None:
    stale = offered(folder)
    (folder / "journal.toml").write_text(SETTINGS + "[[rests", encoding="utf-8")
    assert "journal.toml:" in offered(folder)["closed"]
    assert not save(folder, "add", stale, **days("2025-05-01", "2025-05-02")).saved
    assert text(folder) == SETTINGS + "[[rests"


@given(settings_texts(), st.data())
@settings(max_examples=40, deadline=None)
def test_what_is_added_and_removed_leaves_the_same_bytes(
    written: tuple[str, dict[str, Any]], data: st.DataObject
) -> None:
    choose = Chooser(data.draw)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "journal.toml").write_bytes(written[0].encode())
        ahead = [dt.date(2026, 1, 1) + dt.timedelta(days=10 * i) for i in range(3)]
        for first in ahead:
            values = days(str(first), str(first), habits=choose.some(HABITS, 2), reason="x")
            assert save(folder, "add", **values).saved
        for first in choose.order(ahead):
            mine = next(rest for rest in offered(folder)["rests"] if rest["first"] == str(first))
            assert save(folder, "remove", ref=mine["ref"]).saved
        assert (folder / "journal.toml").read_bytes() == written[0].encode()
