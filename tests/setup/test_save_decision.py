"""Decisions of a month on the two files: applied, replaced, taken back, made late, in two windows, and interrupted."""

from __future__ import annotations

import contextlib
import datetime as dt
import itertools
import shutil
from pathlib import Path
from typing import Any

import msgspec
import polars as pl
import pytest

import journal
from journal import periods
from journal.folder import atomic_write
from journal.saving.save_pages import SaveResult
from journal.setup import change_preview, decision_form, save_decision
from tests.journals import HOME

EXAMPLE = Path(__file__).parents[2] / "example_year"

NOW = dt.datetime(2025, 3, 31, 21, 4, tzinfo=dt.UTC)
MARCH_31 = dt.date(2025, 3, 31)
MONTH = "2025/2025-03.toml"
SETTINGS = f"""\
# Of the bindery.
title = "Spine and thread"

{HOME}
[[habits]]
key = "walk"
name = "Walk"
every = "FREQ=DAILY"
from = 2025-01-01   # new year

[[habits]]
key = "stock"
name = "Stock count"
every = "FREQ=WEEKLY;INTERVAL=2"
from = 2025-01-03
until = 2025-12-31

# The end.
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    (tmp_path / "2025").mkdir()
    return tmp_path


def offered(folder: Path, today: dt.date = MARCH_31, month: str = "2025-03") -> dict[str, Any]:
    book = journal.open(folder, today=today)
    offer = msgspec.to_builtins(decision_form.offer(book, periods.parse(month, "month", week_starts="monday")))
    assert isinstance(offer, dict)
    return offer


def decide(
    folder: Path, what: str, habit: str = "walk", offer: dict[str, Any] | None = None, **values: Any
) -> SaveResult:
    """Decide as the page does: with the proposed days unless others are given."""
    today = values.pop("today", MARCH_31)
    offer = offered(folder, today) if offer is None else offer
    row = row_of(offer, habit)
    proposed: dict[str, dict[str, Any]] = {
        "rest": {"from": row["rest_from"], "until": row["rest_until"]},
        "drop": {"until": row["last"]},
        "change": {"from": row["proposal"]["first"], **row["proposal"]},
    }
    sent = {"base": offer["base"], "period": offer["period"], "habit": habit, "what": what}
    book = journal.open(folder, today=today)
    return save_decision.decide(book, sent | proposed.get(what, {}) | values, now=NOW)


def row_of(offer: dict[str, Any], habit: str = "walk") -> dict[str, Any]:
    return next(row for row in offer["habits"] if row["key"] == habit)


def texts(folder: Path) -> tuple[str, str]:
    """journal.toml and the month's page, without the line end that stands for a page of nothing."""
    month = folder / MONTH
    return (folder / "journal.toml").read_text(), month.read_text().lstrip("\n") if month.exists() else ""


THRICE = {"schedule": {"pattern": "quota", "times": 3, "per": "week"}}
STOCK = '\n[[habits]]\nkey = "stock"'
BLOCK = '\n[[habits]]\nkey = "walk"\nname = "Walk"\ntimes = 3\nper = "week"\nfrom = 2025-04-01\n'
CHANGED = "From 1 April 2025: 3 times a week."
ENDS = "Ends on 31 March 2025."
REST = '# The end.\n\n[[rests]]\nfrom = 2025-04-01\nuntil = 2025-04-30\nhabits = ["walk"]\n'
CASES: dict[str, tuple[dict[str, Any], tuple[str, str], str, str]] = {
    "keep": ({}, ("", ""), "", "Kept as it is."),
    "change": (THRICE, (STOCK, BLOCK + STOCK), "from = 2025-04-01\n", CHANGED),
    "rest": ({}, ("# The end.\n", REST), "from = 2025-04-01\nuntil = 2025-04-30\n", "Rests 1 to 30 April 2025."),
    "drop": ({}, ("# new year\n", "# new year\nuntil = 2025-03-31\n"), "until = 2025-03-31\n", ENDS),
}  # fmt: skip


@pytest.mark.parametrize("what", CASES)
def test_a_decision_acts_and_is_taken_back(folder: Path, what: str) -> None:
    values, (before, after), days, said = CASES[what]
    result = decide(folder, what, **values)
    assert result.saved, result
    recorded = f'[decisions]\nwalk = "{what}"\n' + (f"\n[decision_dates.walk]\n{days}" if days else "")
    assert texts(folder) == (SETTINGS.replace(before, after) if before else SETTINGS, recorded)
    row = row_of(offered(folder))
    assert (row["decision"], row["said"]) == (what, said)
    months_later = dt.date(2025, 8, 9)
    assert row_of(offered(folder, months_later))["said"] == said
    assert decide(folder, "back", today=months_later).saved
    assert texts(folder) == (SETTINGS, "")


def test_every_decision_replaces_every_other(folder: Path) -> None:
    """The files are then as if the second had been the first."""
    alone = {}
    for what in CASES:
        assert decide(folder, what, **CASES[what][0]).saved
        alone[what] = texts(folder)
        assert decide(folder, "back").saved
    for first in CASES:
        for second in CASES:
            assert decide(folder, first, **CASES[first][0]).saved
            assert decide(folder, second, **CASES[second][0]).saved
            assert texts(folder) == alone[second], (first, second)
            assert decide(folder, "back").saved
            assert texts(folder) == (SETTINGS, ""), (first, second)


def test_the_next_month_obeys_and_the_month_before_does_not(folder: Path) -> None:
    def states(today: dt.date, first: dt.date, last: dt.date) -> list[str]:
        book = journal.open(folder, today=today, cache=False)
        return book.states.filter(pl.col("date").is_between(first, last), habit="walk")["state"].to_list()

    january, april, today = dt.date(2025, 1, 1), dt.date(2025, 4, 1), dt.date(2025, 4, 21)
    mondays: dict[str, Any] = {"schedule": {"pattern": "weekdays", "weekdays": ["MO"]}}
    cases: list[tuple[str, dict[str, Any], set[str]]] = [
        ("drop", {}, set()),
        ("rest", {}, {"rest"}),
        ("change", mondays, {"blank", "not due"}),
    ]
    for what, values, then in cases:
        assert decide(folder, what, **values).saved
        assert states(today, january, MARCH_31) == ["blank"] * 90
        assert set(states(today, april, dt.date(2025, 4, 20))) == then
    of_april = row_of(offered(folder, today, "2025-04"))
    assert of_april["schedule"] == "every Monday"
    assert [day + 1 for day, state in enumerate(states(today, april, dt.date(2025, 4, 20))) if state == "blank"] == [
        7,
        14,
    ]


def test_a_habit_that_ends_says_so_and_keeps_its_end(folder: Path) -> None:
    row = row_of(offered(folder), "stock")
    assert (row["note"], row["schedule"]) == ("", "every other Friday")  # too far off to decide March for
    october = offered(folder, dt.date(2025, 10, 31), "2025-10")
    assert row_of(october, "stock")["note"] == "Ends on 31 December 2025."
    assert decide(folder, "drop", "stock").saved
    assert "until_before = 2025-12-31" in texts(folder)[1]
    assert "until = 2025-03-31\n\n# The end." in texts(folder)[0]
    assert decide(folder, "back", "stock").saved
    assert texts(folder) == (SETTINGS, "")
    assert decide(folder, "drop", "stock", until="2026-01-31").saved  # it ends before: nothing to write
    assert texts(folder)[0] == SETTINGS
    december = offered(folder, dt.date(2025, 12, 31), "2025-12")
    assert row_of(december, "stock")["rest_closed"] == "It ends on 31 December 2025."


def test_a_changed_amount_keeps_every_other_friday(folder: Path) -> None:
    """The rule counts from `from`, so the definition begins on a day that was due."""
    row = row_of(offered(folder), "stock")
    said = change_preview.words(
        journal.open(folder, today=MARCH_31),
        {"habit": "stock", "from": "2025-04-01", "schedule": row["proposal"]["schedule"]},
    )
    assert said == "Every other Friday: 11 April, 25 April, 9 May, 23 May and so on."
    assert decide(folder, "change", "stock", target=20, unit="rolls").saved
    block = 'every = "FREQ=WEEKLY;INTERVAL=2"\nfrom = 2025-04-11\nuntil = 2025-12-31\ntarget = 20\nunit = "rolls"\n'
    assert block in texts(folder)[0]
    book = journal.open(folder, today=dt.date(2025, 5, 31))
    due = book.states.filter(habit="stock", state="blank")["date"].to_list()
    assert due == [dt.date(2025, 1, 3) + dt.timedelta(days=14 * i) for i in range(11)]


def test_a_definition_to_come_is_told_and_blocks_a_drop_only(folder: Path) -> None:
    later = SETTINGS.replace(STOCK, BLOCK.replace("04-01", "05-01") + STOCK)
    (folder / "journal.toml").write_text(later)
    assert row_of(offered(folder))["note"] == "From 1 May 2025: 3 times a week."
    (problem,) = decide(folder, "drop").problems
    assert problem.field == "until"
    assert "begins on 1 May 2025 in journal.toml; take that out first" in problem.message
    fifth: dict[str, Any] = {"schedule": {"pattern": "days", "interval": 5}}
    in_may: dict[str, Any] = fifth | {"from": "2025-05-01"}
    (problem,) = decide(folder, "change", **in_may).problems
    assert problem.field == "from"
    assert texts(folder) == (later, "")
    assert decide(folder, "change", **fifth).saved
    book = journal.open(folder, today=MARCH_31)
    said = change_preview.words(book, {"habit": "walk", "from": "2025-04-20", **fifth})
    assert said == "Every 5 days: Sunday 20 April, Friday 25 April and Wednesday 30 April, then no more."
    assert decide(folder, "back").saved
    assert texts(folder)[0] == later


def test_a_late_decision_leaves_the_days_that_are_over(folder: Path) -> None:
    late = dt.date(2025, 4, 3)
    offer = offered(folder, late)
    assert offer["late"].startswith("March 2025 is over.")
    row = row_of(offer)
    assert (row["rest_from"], row["rest_until"], row["last"]) == ("2025-04-04", "2025-04-30", "2025-04-03")
    assert decide(folder, "drop", today=late).saved
    assert "until = 2025-04-03\n" in texts(folder)[0]
    assert offered(folder)["late"] == ""


PROBLEMS: list[tuple[str, dict[str, Any], str, str]] = [
    ("rest", {"until": ""}, "until", "The day is missing; choose one."),
    ("rest", {"until": "soon"}, "until", 'There is no day "soon"'),
    ("rest", {"from": "2025-03-31"}, "from", "Expected a day from 1 April 2025 on, got 31 March 2025"),
    ("rest", {"from": "2025-05-01"}, "until", "Expected a day from 1 May 2025 on"),
    ("drop", {"until": "2025-02-28"}, "until", "Expected a day from 1 March 2025 on"),
    ("change", {"from": "2025-03-15"}, "from", "Expected a day from 1 April 2025 on"),
    ("change", {}, "schedule.pattern", "Nothing is changed here"),
    ("change", {"schedule": {"pattern": "weekdays"}}, "schedule.weekdays", "No day of the week is chosen"),
    ("change", THRICE | {"target": 0}, "target", "Expected an amount of more than 0, got 0"),
    ("change", THRICE | {"target": "many"}, "target", "Expected a number"),
    ("change", THRICE | {"aim": "about"}, "aim", "choose one of them"),
    ("burn", {}, "what", "choose one of them"),
    ("keep", {"period": "2025-05"}, "", "May 2025 is still to come"),
    ("keep", {"base": "x"}, "", "open the page anew"),
]


@pytest.mark.parametrize(("what", "values", "field", "message"), PROBLEMS)
def test_a_wrong_value_is_told_at_its_field(
    folder: Path, what: str, values: dict[str, Any], field: str, message: str
) -> None:
    result = decide(folder, what, **values)
    assert not result.saved
    assert [problem.field for problem in result.problems] == [field]
    assert message in result.problems[0].message
    assert texts(folder) == (SETTINGS, "")


def test_two_windows_that_decide_the_same_and_otherwise(folder: Path) -> None:
    stale = offered(folder)
    assert decide(folder, "drop").saved
    assert decide(folder, "drop", offer=stale).saved  # the same once more
    assert decide(folder, "keep", "stock", offer=stale).saved  # another habit
    before = texts(folder)
    for what in ("rest", "keep", "change"):
        result = decide(folder, what, offer=stale, **CASES[what][0])
        assert (result.saved, bool(result.conflict)) == (False, True), result
        assert texts(folder) == before
    assert decide(folder, "rest").saved  # looked at again
    assert row_of(offered(folder))["said"] == "Rests 1 to 30 April 2025."


def test_an_edit_in_journal_toml_meanwhile_is_kept(folder: Path) -> None:
    stale = offered(folder)
    edited = SETTINGS.replace('name = "Stock count"', 'name = "Count"').replace("# The end.", "# The very end.")
    (folder / "journal.toml").write_text(edited)
    assert decide(folder, "rest", offer=stale).saved
    assert texts(folder)[0] == edited + REST.partition("# The end.\n")[2]


def test_what_was_edited_since_stays_and_is_told(folder: Path) -> None:
    assert decide(folder, "rest").saved
    edited = texts(folder)[0].replace("until = 2025-04-30", "until = 2025-04-20")
    (folder / "journal.toml").write_text(edited)
    assert row_of(offered(folder))["said"] == "Noted here as “rest”; journal.toml has it otherwise by now."
    assert decide(folder, "back").saved
    assert texts(folder) == (edited, "")


def test_a_decision_written_by_hand_is_a_note(folder: Path) -> None:
    (folder / MONTH).write_text('[decisions]\nwalk = "drop"\n')
    assert row_of(offered(folder))["said"] == "Noted here as “drop”, without a day."
    assert decide(folder, "back").saved
    assert texts(folder) == (SETTINGS, "")


def test_a_broken_journal_toml_or_month_closes_the_decisions(folder: Path) -> None:
    (folder / MONTH).write_text("[decisions\n")
    assert "2025/2025-03.toml:1" in offered(folder)["closed"]
    (folder / MONTH).unlink()
    stale = offered(folder)
    (folder / "journal.toml").write_text(SETTINGS + "[[habits")
    assert "journal.toml:" in offered(folder)["closed"]
    result = decide(folder, "drop", offer=stale)
    assert not result.saved
    assert texts(folder) == (SETTINGS + "[[habits", "")


class _Stopped(Exception):
    pass


@pytest.mark.usefixtures("without_record")
@pytest.mark.parametrize(
    ("first", "second"),
    [*(("", what) for what in CASES), ("drop", "back"), ("keep", "drop"), ("drop", "change"), ("rest", "drop")],
)
def test_no_stop_between_the_files_leaves_a_lie(
    folder: Path, monkeypatch: pytest.MonkeyPatch, first: str, second: str
) -> None:
    """Whatever write is the last, no page names a decision that is not in force. Repeated, it comes to the same end."""
    habit, values = ("stock" if second == "drop" else "walk"), CASES[second][0] if second in CASES else {}
    for writes in itertools.count():
        if first:
            assert decide(folder, first, habit, **CASES[first][0]).saved
        stop_after(writes, monkeypatch)
        stopped = True
        with contextlib.suppress(_Stopped):
            stopped = not decide(folder, second, habit, **values).saved
        monkeypatch.undo()
        row = row_of(offered(folder), habit)
        assert "Noted" not in row["said"], (first, second, writes)
        assert bool(row["decision"]) <= row["can_be_taken_back"]
        assert decide(folder, second, habit, **values).saved
        assert row_of(offered(folder), habit)["decision"] == (None if second == "back" else second)
        assert decide(folder, "back", habit).saved
        assert texts(folder) == (SETTINGS, ""), writes
        if not stopped:
            break


def stop_after(writes: int, monkeypatch: pytest.MonkeyPatch) -> None:
    left, replace = writes, atomic_write.replace

    def counted(*of: Any) -> None:
        nonlocal left
        if not left:
            raise _Stopped
        left -= 1
        replace(*of)

    monkeypatch.setattr(atomic_write, "replace", counted)


def test_a_journal_toml_that_cannot_be_written_leaves_the_month_alone(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace = atomic_write.replace

    def refused(path: Path, *of: Any) -> None:
        if path.name == "journal.toml":
            raise PermissionError(13, "Permission denied")
        replace(path, *of)

    monkeypatch.setattr(atomic_write, "replace", refused)
    result = decide(folder, "drop")
    assert not result.saved
    assert "there is no write permission" in result.problems[0].message
    assert texts(folder) == (SETTINGS, "")


def test_the_change_of_the_example_year_can_be_taken_back(tmp_path: Path) -> None:
    folder = tmp_path / "year"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns(".cache", "pictures"))
    new_year = dt.date(2026, 1, 1)
    offer = offered(folder, new_year, "2025-08")
    assert row_of(offer, "stretch")["said"] == "From 1 September 2025: Mondays, Wednesdays and Fridays."
    before = (folder / "journal.toml").read_text(encoding="utf-8")
    assert decide(folder, "back", "stretch", offer, today=new_year).saved
    block = '[[habits]]\nkey = "stretch"\nname = "Stretch"\nevery = "FREQ=WEEKLY;BYDAY=MO,WE,FR"\n'
    after = (folder / "journal.toml").read_text(encoding="utf-8")
    assert after == before.replace(f"{block}from = 2025-09-01\nuntil = 2025-12-31\n", "")  # her comment stays
